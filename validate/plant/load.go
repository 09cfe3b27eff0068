package plant

import (
	"fmt"
	"os"

	"go.yaml.in/yaml/v3"

	"quoin/validate"
	"quoin/validate/yamltext"
)

// MaxFile is the largest plant file in bytes that LoadFile takes. One with a
// hundred machines and a thousand stocks has a tenth of it.
const MaxFile = 4 << 20

// LoadFile reads and decodes a plant file, or a folder of them as LoadFiles
// does. The error is of reading; what is wrong in the file comes as findings.
func LoadFile(path string) (*Plant, []validate.Finding, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read plant file %q: %w", path, err)
	}
	if info.IsDir() {
		return loadFolder(path)
	}
	src, err := readFile(path, MaxFile)
	if err != nil {
		return nil, nil, err
	}
	p, findings := Load(path, src)
	return p, findings, nil
}

// Load decodes a plant file, which is YAML in UTF-8; name is the file name that
// findings are shown with. The Plant holds what could be read, and is nil only
// when the text is not YAML at all. It is fit for use when there are no
// findings; all of them are errors of the group plant.
func Load(name string, src []byte) (*Plant, []validate.Finding) {
	return LoadFiles([]File{{name, src}})
}

// parse reads the YAML, or reports why it can not be read and returns nil.
func (r *reader) parse() *yaml.Node {
	root, fault := r.file.text.Parse()
	if fault == nil {
		return root
	}
	rule, do := fileForm, ""
	switch fault.Kind {
	case yamltext.Empty:
		do = "begin with a line such as \"name: Saltmarsh Print Works\""
	case yamltext.Encoding:
		do = "save the file as UTF-8"
	case yamltext.Second:
		do = "give each plant a file of its own"
	case yamltext.Syntax:
		rule = fileSyntax
	}
	r.findings = append(r.findings, rule.At(fault.Place, validate.F("problem", fault.Problem), validate.F("do", do)))
	return nil
}

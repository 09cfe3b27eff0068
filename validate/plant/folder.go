package plant

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"go.yaml.in/yaml/v3"

	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/yamltext"
)

// File is the text of one plant file, and the name that findings show it with.
type File struct {
	Name string
	Text []byte
}

// LoadFiles decodes the files of one plant, in the order given, as Load does
// with one. Each has some of the keys. A key that two files give is a finding,
// unless both have a list under it: then the lists are joined.
func LoadFiles(files []File) (*Plant, []validate.Finding) {
	r := newReader()
	var roots []*yaml.Node
	count := 0
	for _, f := range files {
		r.open(jdf.NewSource(f.Name, string(trimMark(f.Text))))
		root := r.parse()
		if root == nil {
			continue
		}
		count += countNodes(root)
		r.countOn(root)
		roots = append(roots, root)
	}
	if len(roots) == 0 {
		return nil, r.done()
	}
	r.left = count + len(files) + maxExpanded
	// What a file that can not be read would have given is not missed beside.
	if root := r.merge(roots); root != nil && len(roots) == len(files) {
		plantSchema().decode(r, root, "", r.plant)
	}
	return r.plant, r.done()
}

// trimMark takes the byte order mark off.
func trimMark(text []byte) []byte {
	const mark = "\ufeff"
	if len(text) >= len(mark) && string(text[:len(mark)]) == mark {
		return text[len(mark):]
	}
	return text
}

// merge makes one mapping of the roots of several files. Keys that stand in two
// of them stay twice, which decoding reports, unless both are lists. It is nil
// when a root is no mapping.
func (r *reader) merge(roots []*yaml.Node) *yaml.Node {
	if len(roots) == 1 {
		return roots[0]
	}
	all := *roots[0]
	all.Content = nil
	lists := map[string]*yaml.Node{} // of the files before, by key
	good := true
	for _, root := range roots {
		if root.Kind != yaml.MappingNode {
			r.report(wrongType, root, pathOr(""), validate.F("got", yamltext.Describe(root)),
				validate.F("want", "a group of keys such as \"name\""))
			good = false
			continue
		}
		own := map[string]*yaml.Node{}
		for i := 0; i+1 < len(root.Content); i += 2 {
			name, value := root.Content[i], root.Content[i+1]
			joined := lists[name.Value]
			if joined != nil && value.Kind == yaml.SequenceNode && own[name.Value] == nil {
				joined.Content = append(slices.Clip(joined.Content), value.Content...)
				own[name.Value] = joined
				continue
			}
			all.Content = append(all.Content, name, value)
			if value.Kind == yaml.SequenceNode && own[name.Value] == nil {
				own[name.Value] = value
			}
		}
		for name, list := range own {
			lists[name] = list
		}
	}
	if !good {
		return nil
	}
	return &all
}

// loadFolder reads the files *.yaml of a folder in the order of their names.
func loadFolder(path string) (*Plant, []validate.Finding, error) {
	entries, err := os.ReadDir(path)
	if err != nil {
		return nil, nil, fmt.Errorf("read plant folder %q: %w", path, err)
	}
	var files []File
	left := int64(MaxFile)
	for _, e := range entries {
		name := filepath.Join(path, e.Name())
		if filepath.Ext(e.Name()) != ".yaml" || e.Name()[0] == '.' {
			continue
		}
		// A folder of that name is no file, and a pipe would be waited for.
		if info, err := os.Stat(name); err == nil && !info.Mode().IsRegular() {
			continue
		}
		text, err := readFile(name, left)
		if err != nil {
			return nil, nil, err
		}
		left -= int64(len(text))
		files = append(files, File{name, text})
	}
	if len(files) == 0 {
		return nil, nil, fmt.Errorf("read plant folder %q: it has no file *.yaml; put the plant files there", path)
	}
	p, findings := LoadFiles(files)
	return p, findings, nil
}

// readFile reads a file that may have so many bytes.
func readFile(path string, most int64) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read plant file %q: %w", path, err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("read plant file %q: %w", path, err)
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("read plant file %q: with it the plant has over %d MB; take out what is not of the plant",
			path, MaxFile>>20)
	}
	return text, nil
}

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
)

// program is a judge that is run over files: xmllint, or the JDK.
type program struct {
	dir     string   // for the files
	schemas []string // paths
	run     func(schema string, files []string) (map[string]verdict, error)
}

// batch is how many files are given to a program at once.
const batch = 2000

func (p *program) judge(texts []text) ([]verdict, error) {
	verdicts := make([]verdict, len(texts))
	for gen, schema := range p.schemas {
		var numbers []int
		for i, t := range texts {
			if t.gen == gen {
				numbers = append(numbers, i)
			}
		}
		for len(numbers) > 0 {
			n := min(batch, len(numbers))
			if err := p.some(schema, texts, numbers[:n], verdicts); err != nil {
				return nil, err
			}
			numbers = numbers[n:]
		}
	}
	return verdicts, nil
}

func (p *program) some(schema string, texts []text, numbers []int, verdicts []verdict) error {
	dir, err := os.MkdirTemp(p.dir, "batch")
	if err != nil {
		return fmt.Errorf("make folder for mutants: %w", err)
	}
	defer os.RemoveAll(dir)
	files := make([]string, len(numbers))
	for k, i := range numbers {
		files[k] = filepath.Join(dir, fmt.Sprintf("%d.xml", i))
		if err := os.WriteFile(files[k], []byte(texts[i].xml), 0o600); err != nil {
			return fmt.Errorf("write mutant: %w", err)
		}
	}
	said, err := p.run(schema, files)
	if err != nil {
		return err
	}
	for k, i := range numbers {
		v, ok := said[files[k]]
		if !ok {
			return fmt.Errorf("no verdict on mutant %d of schema %q", i, schema)
		}
		verdicts[i] = v
	}
	return nil
}

var (
	verdictLine = regexp.MustCompile(`^(.+) (validates|fails to validate)$`)
	errorLine   = regexp.MustCompile(`^(.+?):\d+: element .*Schemas validity error : (.*)$`)
)

// runXMLLint runs libxml2's own program.
func runXMLLint(schema string, files []string) (map[string]verdict, error) {
	args := append([]string{"--noout", "--nonet", "--schema", schema}, files...)
	cmd := exec.Command("xmllint", args...)
	var said bytes.Buffer
	cmd.Stderr = &said
	var exit *exec.ExitError
	if err := cmd.Run(); err != nil && !errors.As(err, &exit) {
		return nil, fmt.Errorf("run xmllint: %w", err)
	}
	verdicts, errs := map[string]verdict{}, map[string][]string{}
	for line := range strings.Lines(said.String()) {
		line = strings.TrimSuffix(line, "\n")
		if m := errorLine.FindStringSubmatch(line); m != nil {
			errs[m[1]] = append(errs[m[1]], m[2])
		} else if m := verdictLine.FindStringSubmatch(line); m != nil {
			verdicts[m[1]] = verdict{valid: m[2] == "validates", says: errs[m[1]]}
		}
	}
	return verdicts, nil
}

// newXMLLint copies the schemas, since xmllint refuses the published one of the
// 1.x generation: it escapes a tilde in patterns, which XML Schema does not know.
func newXMLLint(dir, scratch string) (*program, error) {
	p := &program{dir: scratch, run: runXMLLint}
	for _, g := range generations() {
		files, err := filepath.Glob(filepath.Join(dir, g.name, "*.xsd"))
		if err != nil {
			return nil, fmt.Errorf("list schemas: %w", err)
		}
		for _, f := range files {
			data, err := os.ReadFile(f)
			if err != nil {
				return nil, fmt.Errorf("read schema: %w", err)
			}
			data = bytes.ReplaceAll(data, []byte(`\~`), []byte(`~`))
			if err := os.WriteFile(filepath.Join(scratch, filepath.Base(f)), data, 0o600); err != nil {
				return nil, fmt.Errorf("copy schema: %w", err)
			}
		}
		p.schemas = append(p.schemas, filepath.Join(scratch, filepath.Base(g.schema)))
	}
	return p, nil
}

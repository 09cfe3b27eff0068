package main

import (
	"bytes"
	_ "embed"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

//go:embed Judge.java
var judgeSource []byte

// newJDK is the validator of the JDK, which takes the schemas as published.
func newJDK(dir, scratch string) (*program, error) {
	java, err := exec.LookPath("java")
	if err != nil {
		return nil, fmt.Errorf("look for a JDK: %w", err)
	}
	source := filepath.Join(scratch, "Judge.java")
	if err := os.WriteFile(source, judgeSource, 0o600); err != nil {
		return nil, fmt.Errorf("write the program for the JDK: %w", err)
	}
	p := &program{dir: scratch}
	for _, g := range generations() {
		p.schemas = append(p.schemas, filepath.Join(dir, g.schema))
	}
	p.run = func(schema string, files []string) (map[string]verdict, error) {
		cmd := exec.Command(java, source, schema)
		cmd.Stdin = strings.NewReader(strings.Join(files, "\n") + "\n")
		var out, trouble bytes.Buffer
		cmd.Stdout, cmd.Stderr = &out, &trouble
		if err := cmd.Run(); err != nil {
			return nil, fmt.Errorf("run the JDK: %w: %s", err, trouble.String())
		}
		lines := strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
		if len(lines) != len(files) {
			return nil, fmt.Errorf("the JDK judged %d files of %d: %s", len(lines), len(files), trouble.String())
		}
		verdicts := map[string]verdict{}
		for i, f := range files {
			verdicts[f] = verdict{valid: lines[i] == "valid", says: []string{lines[i]}}
		}
		return verdicts, nil
	}
	return p, nil
}

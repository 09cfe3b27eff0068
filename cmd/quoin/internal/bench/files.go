package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"quoin/cmd/quoin/internal/tickets"
)

// generation is one of the two that the standard has, with all that is measured
// of it.
type generation struct {
	name   string
	schema string // for xmllint
	write  func(w io.Writer, size int, faults tickets.Faults) error
	dir    string // for the tickets
}

func newGenerations(s settings, scratch string) ([]generation, error) {
	jdf, err := patched(filepath.Join(s.standard, "jdf"), scratch)
	if err != nil {
		return nil, err
	}
	all := []generation{
		{"XJDF", filepath.Join(s.standard, "xjdf", "xjdf.xsd"), tickets.XJDF, filepath.Join(scratch, "x")},
		{"JDF", jdf, tickets.JDF, filepath.Join(scratch, "j")},
	}
	for _, g := range all {
		if err := os.Mkdir(g.dir, 0o700); err != nil {
			return nil, fmt.Errorf("make folder for tickets: %w", err)
		}
	}
	return all, nil
}

// patched copies the 1.x schema without the escapes that xmllint refuses, and
// returns the path of the one to start with.
func patched(from, scratch string) (string, error) {
	files, err := filepath.Glob(filepath.Join(from, "*.xsd"))
	if err != nil {
		return "", fmt.Errorf("list schemas: %w", err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			return "", fmt.Errorf("read schema: %w", err)
		}
		data = bytes.ReplaceAll(data, []byte(`\~`), []byte(`~`))
		if err := os.WriteFile(filepath.Join(scratch, filepath.Base(f)), data, 0o600); err != nil {
			return "", fmt.Errorf("copy schema: %w", err)
		}
	}
	return filepath.Join(scratch, "JDF.xsd"), nil
}

// file writes a ticket.
func (g generation) file(name string, size int, faults tickets.Faults) (path string, err error) {
	path = filepath.Join(g.dir, name)
	f, err := os.Create(path)
	if err != nil {
		return "", fmt.Errorf("make ticket: %w", err)
	}
	defer func() {
		if failed := f.Close(); failed != nil && err == nil {
			err = fmt.Errorf("write ticket: %w", failed)
		}
	}()
	return path, g.write(f, size, faults)
}

// many writes copies of a small ticket into a folder of their own.
func (g generation) many(n, size int) (dir string, paths []string, err error) {
	dir = filepath.Join(g.dir, "many")
	if err := os.Mkdir(dir, 0o700); err != nil {
		return "", nil, fmt.Errorf("make folder for tickets: %w", err)
	}
	var text bytes.Buffer
	if err := g.write(&text, size, 0); err != nil {
		return "", nil, err
	}
	for i := range n {
		path := filepath.Join(dir, fmt.Sprintf("%05d.%s", i, g.extension()))
		if err := os.WriteFile(path, text.Bytes(), 0o600); err != nil {
			return "", nil, fmt.Errorf("write ticket: %w", err)
		}
		paths = append(paths, path)
	}
	return dir, paths, nil
}

func (g generation) extension() string {
	if g.name == "JDF" {
		return "jdf"
	}
	return "xjdf"
}

package main

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Exit statuses of the command.
const (
	exitClean   = 0
	exitDiffers = 1 // -check found a table that is out of date
	exitUsage   = 2
	exitFailed  = 3
)

// release is one published generation: where its files are and what it is
// called in the tables.
type release struct {
	flag, name, table string
	versions          string // simple type that lists the version numbers
	notes             bool   // appinfo carries facts
}

var releases = []release{
	{flag: "jdf", name: "JDF", table: "jdf.tab", versions: "JDFJMFVersion", notes: true},
	{flag: "xjdf", name: "XJDF", table: "xjdf.tab", versions: "Version"},
}

func run(args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("generate", flag.ContinueOnError)
	flags.SetOutput(stderr)
	dirs := make([]*string, len(releases))
	for i, r := range releases {
		dirs[i] = flags.String(r.flag, "", "folder of the published "+r.name+" XSDs")
	}
	out := flags.String("out", "schemas", "folder of the tables")
	check := flags.Bool("check", false, "write nothing; exit 1 when a table is out of date")
	if err := flags.Parse(args); err != nil {
		return exitUsage
	}
	status := exitClean
	for i, r := range releases {
		if *dirs[i] == "" {
			fmt.Fprintf(stderr, "generate: give -%s, the folder of the published %s XSDs\n", r.flag, r.name)
			return exitUsage
		}
		differs, err := r.produce(*dirs[i], *out, *check, stderr)
		if err != nil {
			fmt.Fprintf(stderr, "generate: %v\n", err)
			return exitFailed
		}
		if differs {
			fmt.Fprintf(stdout, "%s is out of date\n", filepath.Join(*out, r.table))
			status = exitDiffers
		}
	}
	return status
}

// produce makes the table of a release and writes it, or compares it with the
// one that is there.
func (r release) produce(dir, out string, check bool, stderr io.Writer) (differs bool, err error) {
	text, notes, err := r.compile(dir)
	if err != nil {
		return false, fmt.Errorf("read %s release in %q: %w", r.name, dir, err)
	}
	for _, n := range notes {
		fmt.Fprintln(stderr, r.table+": "+n)
	}
	path := filepath.Join(out, r.table)
	if check {
		old, err := os.ReadFile(path)
		if err != nil {
			return false, fmt.Errorf("read table %q: %w", path, err)
		}
		return !bytes.Equal(old, text), nil
	}
	return false, replaceFile(path, text)
}

// compile turns the XSDs of a folder into the text of a table, and tells what
// was mended on the way.
func (r release) compile(dir string) (text []byte, notes []string, err error) {
	files, err := filepath.Glob(filepath.Join(dir, "*.xsd"))
	if err != nil {
		return nil, nil, err
	}
	if len(files) == 0 {
		return nil, nil, fmt.Errorf("no .xsd file there; want the folder of the published release")
	}
	s := newSchema(r)
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			return nil, nil, err
		}
		root, err := parseXSD(data)
		if err != nil {
			return nil, nil, fmt.Errorf("parse %q: %w", filepath.Base(file), err)
		}
		if err := s.add(root); err != nil {
			return nil, nil, fmt.Errorf("use %q: %w", filepath.Base(file), err)
		}
	}
	if err := s.link(); err != nil {
		return nil, nil, err
	}
	return s.print(), s.notes, nil
}

// replaceFile writes a file so that no reader ever sees half of it.
func replaceFile(path string, data []byte) error {
	temp, err := os.CreateTemp(filepath.Dir(path), ".table-*")
	if err != nil {
		return fmt.Errorf("write table %q: %w", path, err)
	}
	defer os.Remove(temp.Name())
	if _, err := temp.Write(data); err != nil {
		temp.Close()
		return fmt.Errorf("write table %q: %w", path, err)
	}
	if err := temp.Chmod(0o644); err != nil {
		temp.Close()
		return fmt.Errorf("write table %q: %w", path, err)
	}
	if err := temp.Close(); err != nil {
		return fmt.Errorf("write table %q: %w", path, err)
	}
	if err := os.Rename(temp.Name(), path); err != nil {
		return fmt.Errorf("write table %q: %w", path, err)
	}
	return nil
}

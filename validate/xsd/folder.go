package xsd

import (
	"encoding/xml"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// loadFolder reads all schemas of a folder, and finds what to start with.
func (s *sources) loadFolder(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var paths []string
	for _, e := range entries {
		if !e.IsDir() && strings.EqualFold(filepath.Ext(e.Name()), ".xsd") {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	if len(paths) == 0 {
		return fmt.Errorf("no .xsd file in the folder; want a schema, or a folder that holds one")
	}
	for _, p := range paths {
		if err := s.follow(p); err != nil {
			return err
		}
	}
	tops := s.tops(paths)
	if len(tops) == 1 {
		s.start = tops[0]
		return nil
	}
	s.start = s.together(dir, tops)
	return nil
}

// tops chooses files that lead to all the others: those that no other names,
// and one of each ring that is left.
func (s *sources) tops(paths []string) []*file {
	named := make(map[string]bool)
	for _, f := range s.files {
		for _, p := range f.refers {
			named[p] = named[p] || p != f.path
		}
	}
	var tops []*file
	reached := make(map[string]bool)
	var reach func(path string)
	reach = func(path string) {
		if !reached[path] {
			reached[path] = true
			for _, p := range s.read[path].refers {
				reach(p)
			}
		}
	}
	for _, ring := range []bool{false, true} {
		for _, p := range paths {
			if named[p] == ring && !reached[p] {
				tops = append(tops, s.read[p])
				reach(p)
			}
		}
	}
	return tops
}

// together makes one schema of several: it imports one of each namespace, and
// those of a namespace are included in one.
func (s *sources) together(dir string, tops []*file) *file {
	bySpace := make(map[string][]*file)
	for _, f := range tops {
		bySpace[f.space] = append(bySpace[f.space], f)
	}
	var body strings.Builder
	for _, space := range slices.Sorted(maps.Keys(bySpace)) {
		files := bySpace[space]
		if space == "" {
			for _, f := range files {
				fmt.Fprintf(&body, "<xs:include schemaLocation=%q/>", f.name)
			}
			continue
		}
		one := files[0]
		if len(files) > 1 {
			var includes strings.Builder
			for _, f := range files {
				fmt.Fprintf(&includes, "<xs:include schemaLocation=%q/>", f.name)
			}
			one = s.written(filepath.Join(dir, "all of "+space), space, includes.String())
		}
		fmt.Fprintf(&body, `<xs:import namespace="%s" schemaLocation=%q/>`, escape(space), one.name)
	}
	// XML Schema wants imports and includes in any order before all else.
	return s.written(filepath.Join(dir, "all together"), "", body.String())
}

// written adds a schema of our own.
func (s *sources) written(path, space, body string) *file {
	target := ""
	if space != "" {
		target = ` targetNamespace="` + escape(space) + `"`
	}
	f := &file{name: s.nameOf(path), path: path, space: space,
		text: `<xs:schema xmlns:xs="` + namespace + `"` + target + ">" + body + "</xs:schema>"}
	s.add(f)
	return f
}

func escape(text string) string {
	var out strings.Builder
	// A strings.Builder takes everything.
	_ = xml.EscapeText(&out, []byte(text))
	return out.String()
}

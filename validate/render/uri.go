package render

import (
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// relativeURI turns a file name into a URI relative to the current folder, so
// that a log can be read on another machine. What lies outside of the folder
// keeps its absolute place as a file URI.
func relativeURI(name string) string {
	if !filepath.IsAbs(name) {
		return (&url.URL{Path: filepath.ToSlash(filepath.Clean(name))}).String()
	}
	if here, err := os.Getwd(); err == nil {
		if rel, err := filepath.Rel(here, name); err == nil && filepath.IsLocal(rel) {
			return (&url.URL{Path: filepath.ToSlash(rel)}).String()
		}
	}
	path := filepath.ToSlash(name)
	if !strings.HasPrefix(path, "/") {
		path = "/" + path // a drive letter
	}
	return (&url.URL{Scheme: "file", Path: path}).String()
}

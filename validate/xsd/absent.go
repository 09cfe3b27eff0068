//go:build !libxml2 || !cgo

package xsd

import "errors"

var errNotBuiltIn = errors.New(
	"this build has no XSD engine; build it with `make build` where the libxml2 headers are installed " +
		"(package libxml2-dev or libxml2-devel), or with `go build -tags libxml2 ./cmd/quoin`")

type engine struct{}

// BuiltIn reports whether libxml2 is compiled in.
func BuiltIn() bool { return false }

// Version names the engine, as in "libxml2 2.9.14", or is "".
func Version() string { return "" }

func compile(*sources) (*engine, error) { return nil, errNotBuiltIn }

func (*engine) check(string, bool) (errors []fault, more int, err error) {
	return nil, 0, errNotBuiltIn
}

//go:build libxml2 && cgo

package xsd

/*
#cgo pkg-config: libxml-2.0
#include "engine.h"
#include <libxml/xmlversion.h>
#include <stdlib.h>
*/
import "C"

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"strings"
	"sync"
	"unsafe"
)

var (
	errNotBuiltIn error // the engine is built in

	errGaveUp = errors.New("the XSD engine gave up, out of memory or by an error of its own")
)

// start readies libxml2 once for the process. There is no end to it: other
// threads may be inside at any time.
var start = sync.OnceFunc(func() { C.quoin_init() })

// engine is a compiled schema of libxml2. Checking does not change it.
type engine struct{ schema unsafe.Pointer }

// BuiltIn reports whether libxml2 is compiled in.
func BuiltIn() bool { return true }

// Version names the engine, as in "libxml2 2.9.14", or is "".
func Version() string { return "libxml2 " + C.LIBXML_DOTTED_VERSION }

// compile hands the files to the engine, the one to start with first.
func compile(s *sources) (*engine, error) {
	start()
	files := make([]C.quoin_file, 0, len(s.files))
	var pinned runtime.Pinner
	defer pinned.Unpin()
	add := func(f *file) {
		name := C.CString(f.name)
		text := unsafe.StringData(f.text)
		pinned.Pin(text)
		files = append(files, C.quoin_file{name, (*C.char)(unsafe.Pointer(text)), C.size_t(len(f.text))})
	}
	defer func() {
		for _, f := range files {
			C.free(unsafe.Pointer(f.name))
		}
	}()
	add(s.start)
	for _, f := range s.files {
		if f != s.start {
			add(f)
		}
	}
	found := C.quoin_errors{most: maxErrors}
	defer C.quoin_errors_free(&found)
	schema := C.quoin_compile(&files[0], C.size_t(len(files)), &found)
	runtime.KeepAlive(s)
	if schema == nil {
		return nil, schemaError(s, &found)
	}
	e := &engine{schema}
	runtime.AddCleanup(e, func(p unsafe.Pointer) { C.quoin_schema_free(p) }, schema)
	return e, nil
}

// schemaError tells the first of the errors of a schema, with its file and line.
func schemaError(s *sources, found *C.quoin_errors) error {
	if found.out_of_memory != 0 || found.length == 0 {
		return errGaveUp
	}
	list := unsafe.Slice(found.list, found.length)
	// The engine's parts speak as they come, and not all of them know where.
	first := list[max(0, slices.IndexFunc(list, func(e C.quoin_error) bool { return e.file != 0 && e.line > 0 }))]
	message := strings.TrimSuffix(strings.TrimSpace(stringAt(found, first.message)), ".")
	for _, f := range s.files {
		message = strings.ReplaceAll(message, "'"+f.name+"'", fmt.Sprintf("%q", f.path))
	}
	if first.file != 0 {
		message = fmt.Sprintf("%s:%d: %s", s.pathOf(stringAt(found, first.file)), int(first.line), message)
	}
	if more := len(list) - 1 + int(found.more); more > 0 {
		message += fmt.Sprintf(" (and %d more errors)", more)
	}
	return errors.New(message)
}

func stringAt(found *C.quoin_errors, offset C.size_t) string {
	if offset == 0 {
		return ""
	}
	return C.GoString((*C.char)(unsafe.Add(unsafe.Pointer(found.text), offset)))
}

// check holds a text against the schema; more counts the errors not kept.
func (e *engine) check(text string, stream bool) (list []fault, more int, err error) {
	if len(text) > math.MaxInt32 {
		return nil, 0, fmt.Errorf("%d bytes are more than the XSD engine takes", len(text))
	}
	found := C.quoin_errors{most: maxErrors}
	defer C.quoin_errors_free(&found)
	source := (*C.char)(unsafe.Pointer(unsafe.StringData(text)))
	way := C.int(0)
	if stream {
		way = 1
	}
	result := C.quoin_check(e.schema, source, C.int(len(text)), way, &found)
	runtime.KeepAlive(e)
	for _, x := range unsafe.Slice(found.list, found.length) {
		list = append(list, fault{
			element: int(x.element), message: strings.ToValidUTF8(stringAt(&found, x.message), "\uFFFD"),
		})
	}
	switch {
	case result == C.QUOIN_CHECKED:
		return list, int(found.more), nil
	case result == C.QUOIN_NOT_XML && len(list) > 0:
		return nil, 0, fmt.Errorf("not well-formed XML: %s", strings.TrimSpace(list[0].message))
	}
	return nil, 0, errGaveUp
}

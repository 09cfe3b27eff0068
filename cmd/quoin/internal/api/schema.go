package api

import (
	"encoding"
	"encoding/json"
	"fmt"
	"path"
	"reflect"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"quoin/convert/cost"
)

// schemas makes JSON Schemas of Go types, as encoding/json writes their values. Structs
// become components, so that each is described once.
type schemas struct{ components map[string]any }

type object = map[string]any

var (
	timeType    = reflect.TypeFor[time.Time]()
	decimalType = reflect.TypeFor[decimal.Decimal]()
	ratioType   = reflect.TypeFor[cost.Ratio]()
	textType    = reflect.TypeFor[encoding.TextMarshaler]()
	jsonType    = reflect.TypeFor[json.Marshaler]()
)

// of is the schema of a type. A type that writes itself in a form that is not known here
// is a mistake of the program, which a test finds.
func (s *schemas) of(t reflect.Type) object {
	switch t {
	case timeType:
		return object{"type": "string", "format": "date-time"}
	case decimalType:
		return object{"type": "string", "pattern": `^-?[0-9]+(\.[0-9]+)?$`}
	case ratioType: // it is null where it can not be told
		return object{"type": []string{"string", "null"}}
	}
	if t.Implements(textType) {
		return object{"type": "string"}
	}
	if t.Implements(jsonType) {
		panic(fmt.Sprintf("the JSON of %s is not known", t))
	}
	switch t.Kind() {
	case reflect.String:
		return object{"type": "string"}
	case reflect.Bool:
		return object{"type": "boolean"}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64, reflect.Uint, reflect.Uint8, reflect.Uint16,
		reflect.Uint32, reflect.Uint64:
		return object{"type": "integer"}
	case reflect.Float32, reflect.Float64:
		return object{"type": "number"}
	case reflect.Pointer:
		return s.of(t.Elem())
	case reflect.Slice:
		return object{"type": "array", "items": s.item(t.Elem())}
	case reflect.Array:
		return object{"type": "array", "items": s.item(t.Elem()), "minItems": t.Len(), "maxItems": t.Len()}
	case reflect.Map:
		return object{"type": "object", "additionalProperties": s.item(t.Elem())}
	case reflect.Struct:
		return s.component(t)
	}
	panic(fmt.Sprintf("there is no JSON of %s", t))
}

// item is the schema of a value that may be null: a pointer, a list or a map.
func (s *schemas) item(t reflect.Type) object {
	schema := s.of(t)
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Map:
		return object{"anyOf": []any{schema, object{"type": "null"}}}
	}
	return schema
}

// component describes a struct under its name, and gives the reference to it.
func (s *schemas) component(t reflect.Type) object {
	name := nameOfType(t)
	if _, known := s.components[name]; !known {
		schema := object{"type": "object"}
		s.components[name] = schema // before its fields, which may lead back to it
		properties, required := object{}, []string{}
		s.fields(t, properties, &required)
		schema["properties"] = properties
		if len(required) > 0 {
			schema["required"] = required
		}
	}
	return object{"$ref": "#/components/schemas/" + name}
}

func (s *schemas) fields(t reflect.Type, properties object, required *[]string) {
	for f := range fieldsOf(t) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && name == "" {
			embedded := f.Type
			if embedded.Kind() == reflect.Pointer {
				embedded = embedded.Elem()
			}
			s.fields(embedded, properties, required)
			continue
		}
		if !f.IsExported() || name == "-" {
			continue
		}
		if name == "" {
			name = f.Name
		}
		left := strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero")
		schema := s.of(f.Type)
		if !left {
			*required = append(*required, name)
			schema = s.item(f.Type)
		}
		if says := f.Tag.Get("doc"); says != "" {
			schema["description"] = says // beside a $ref it is allowed since OpenAPI 3.1
		}
		properties[name] = schema
	}
}

func fieldsOf(t reflect.Type) func(func(reflect.StructField) bool) {
	return func(yield func(reflect.StructField) bool) {
		for i := range t.NumField() {
			if !yield(t.Field(i)) {
				return
			}
		}
	}
}

// nameOfType names a component: types of other packages have that before their name.
func nameOfType(t reflect.Type) string {
	name, inner, generic := strings.Cut(t.Name(), "[")
	if generic {
		inner = strings.TrimSuffix(inner, "]")
		inner = strings.TrimLeft(path.Base(inner), "*")
		inner = strings.TrimPrefix(inner, "api.")
		return name + "." + inner
	}
	if pkg := path.Base(t.PkgPath()); pkg != "api" {
		return pkg + "." + name
	}
	return name
}

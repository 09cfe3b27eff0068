package profile

import (
	"fmt"
	"slices"

	"quoin/validate"
)

// valueType is the type of an expression; without variables it is known before
// anything is evaluated.
type valueType uint8

const (
	nodeSet valueType = iota
	text
	number
	truth
)

func (t valueType) String() string {
	return [...]string{"a set of nodes", "a text", "a number", "true or false"}[t]
}

// function is the signature of a function. Where the least number of arguments
// is less than one, a missing one means the context node.
type function struct {
	name        string
	result      valueType
	args        []valueType
	least, most int
}

const anyNumber = 64 // arguments of concat

// functions are those of XPath 1.0, section 4, but for id and lang.
//
// Source: XML Path Language 1.0, section 4.
var functions = []function{
	{"boolean", truth, []valueType{truth}, 1, 1},
	{"ceiling", number, []valueType{number}, 1, 1},
	{"concat", text, []valueType{text}, 2, anyNumber},
	{"contains", truth, []valueType{text}, 2, 2},
	{"count", number, []valueType{nodeSet}, 1, 1},
	{"false", truth, nil, 0, 0},
	{"floor", number, []valueType{number}, 1, 1},
	{"last", number, nil, 0, 0},
	{"local-name", text, []valueType{nodeSet}, 0, 1},
	{"name", text, []valueType{nodeSet}, 0, 1},
	{"namespace-uri", text, []valueType{nodeSet}, 0, 1},
	{"normalize-space", text, []valueType{text}, 0, 1},
	{"not", truth, []valueType{truth}, 1, 1},
	{"number", number, []valueType{number}, 0, 1},
	{"position", number, nil, 0, 0},
	{"round", number, []valueType{number}, 1, 1},
	{"starts-with", truth, []valueType{text}, 2, 2},
	{"string", text, []valueType{text}, 0, 1},
	{"string-length", number, []valueType{text}, 0, 1},
	{"substring", text, []valueType{text, number}, 2, 3},
	{"substring-after", text, []valueType{text}, 2, 2},
	{"substring-before", text, []valueType{text}, 2, 2},
	{"sum", number, []valueType{nodeSet}, 1, 1},
	{"translate", text, []valueType{text}, 3, 3},
	{"true", truth, nil, 0, 0},
}

func functionNamed(name string) (function, bool) {
	i := slices.IndexFunc(functions, func(f function) bool { return f.name == name })
	if i < 0 {
		return function{}, false
	}
	return functions[i], true
}

func unknownFunction(name string) (problem, advice string) {
	if name == "id" || name == "lang" {
		return fmt.Sprintf("the function %s() is not taken; tickets have no document type and no languages to go by", name),
			"compare the attribute with ="
	}
	names := make([]string, len(functions))
	for i, f := range functions {
		names[i] = f.name
	}
	if near := validate.Nearest(name, names); near != "" {
		advice = "write " + near
	}
	return fmt.Sprintf("%s() is no function of XPath 1.0; want one such as %s", name, validate.Choices(names)), advice
}

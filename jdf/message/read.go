package message

import (
	"errors"
	"strings"

	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/value"
)

// text is an attribute as it stands.
func text(n jdf.Node, name string) job.Fact[string] {
	a := n.Attr(name)
	if !a.Valid() {
		return job.Fact[string]{}
	}
	return job.Of(strings.TrimSpace(a.Value()), a.Place())
}

func moment(n jdf.Node, name string, fault func(job.Fault)) job.Fact[value.DateTime] {
	return parsed(n, name, value.ParseDateTime, fault)
}

func double(n jdf.Node, name string, fault func(job.Fault)) job.Fact[float64] {
	return parsed(n, name, value.ParseDouble, fault)
}

func truth(n jdf.Node, name string, fault func(job.Fault)) job.Fact[bool] {
	return parsed(n, name, value.ParseBoolean, fault)
}

func whole(n jdf.Node, name string, fault func(job.Fault)) job.Fact[int] {
	i := parsed(n, name, value.ParseInteger, fault)
	return job.Fact[int]{Value: int(i.Value), Place: i.Place, Given: i.Given}
}

// parsed reads an attribute with the parser of its data type, and reports what
// is not of the type.
func parsed[T any](
	n jdf.Node, name string, parse func(string) (T, error), fault func(job.Fault),
) job.Fact[T] {
	a := n.Attr(name)
	if !a.Valid() {
		return job.Fact[T]{}
	}
	v, err := parse(a.Value())
	if err == nil {
		return job.Of(v, a.Place())
	}
	f := job.Fault{Place: a.Place(), Name: n.Local() + "/@" + name, Got: a.Value(), Want: err.Error()}
	var syntax *value.SyntaxError
	if errors.As(err, &syntax) {
		f.Want = syntax.Want
		if f.Want == "" {
			f.Want = syntax.Type
		}
	}
	fault(f)
	return job.Fact[T]{}
}

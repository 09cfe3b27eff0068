package api

import (
	"fmt"
	"net/http"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"quoin/cmd/quoin/internal/access"
	"quoin/validate"
)

// Prefix is where the operations are found.
const Prefix = "/api/v1"

// operation is one line of the table: how it is asked for, by whom, and what it answers.
type operation struct {
	ID      string
	Method  string
	Path    string // behind Prefix, as http.ServeMux writes it
	Group   string // that it is listed under
	Summary string
	Roles   []access.Role
	Params  []param
	Body    *content // nil for none
	Status  int      // of success; default 200
	Answer  []content
	Match   bool // wants If-Match
	Tagged  bool // answers with an ETag
	Once    bool // takes an Idempotency-Key
	Heavy   bool // takes its turn, for it computes

	do func(a *api, c *call) (*reply, error)
}

// content is a body in one media type. JSON has the schema of the type of Value; with
// a nil Value it is bytes.
type content struct {
	Media string
	Value any
	Says  string
}

// param is a parameter in the path or the query.
type param struct {
	Name  string
	In    string // path or query
	Says  string
	Type  string // string, integer, date, time
	Many  bool   // may be given again
	Allow []string
	Min   int64
	Max   int64 // of an integer; 0 for no limit
	Usual string
}

// call is one request, with its parameters read.
type call struct {
	w      http.ResponseWriter
	r      *http.Request
	op     *operation
	who    *access.Partner
	values map[string][]string
}

// reply is an answer.
type reply struct {
	status int // default operation.Status
	value  any // written as JSON, unless there is a body
	media  string
	body   []byte
	name   string // under which the body is saved
	header http.Header
	stream func(c *call) error // writes the answer itself
}

func (c *call) text(name string) string {
	if v := c.values[name]; len(v) > 0 {
		return v[0]
	}
	return ""
}

func (c *call) all(name string) []string { return c.values[name] }

// number is an integer that was checked when the parameters were read.
func (c *call) number(name string) int64 {
	n, _ := strconv.ParseInt(c.text(name), 10, 64) // "" is 0, all else was checked
	return n
}

// moment is a date or a time that was checked when the parameters were read; zero for none.
func (c *call) moment(name string, zone *time.Location) time.Time {
	t, _ := moment(c.text(name), zone)
	return t
}

// moment reads a date or a time of RFC 3339.
func moment(text string, zone *time.Location) (time.Time, error) {
	if t, err := time.ParseInLocation(time.DateOnly, text, zone); err == nil {
		return t, nil
	}
	return time.Parse(time.RFC3339, text)
}

// reads reports whether who asks sees everything; others see what is their own.
func (c *call) reads() bool { return c.who.May(access.Reader, access.Operator) }

// read takes the parameters of a request, and refuses those that are not in the table.
func (op *operation) read(r *http.Request) (map[string][]string, error) {
	values := map[string][]string{}
	query := r.URL.Query()
	var known []string
	for _, p := range op.Params {
		given := query[p.Name]
		if p.In == "path" {
			given = []string{r.PathValue(p.Name)}
		} else {
			known = append(known, p.Name)
		}
		if len(given) == 0 && p.Usual != "" {
			given = []string{p.Usual}
		}
		if len(given) > 1 && !p.Many {
			return nil, badParam(p, "is given %d times; want it once", len(given))
		}
		for _, v := range given {
			if err := p.check(v); err != nil {
				return nil, err
			}
		}
		values[p.Name] = given
	}
	for name := range query {
		if slices.Contains(known, name) {
			continue
		}
		do := "leave it out; this operation has no parameters in the query"
		if len(known) > 0 {
			do = "want " + validate.Choices(known) + validate.Suggest(name, known)
		}
		return nil, &problem{Status: http.StatusBadRequest, Code: "parameter-unknown", Where: "query " + name,
			Detail: fmt.Sprintf("the parameter %q is not known", name), Do: do}
	}
	return values, nil
}

func badParam(p param, format string, args ...any) error {
	return &problem{Status: http.StatusBadRequest, Code: "parameter-wrong", Where: p.In + " " + p.Name,
		Detail: p.Name + " " + fmt.Sprintf(format, args...), Do: "mend the parameter and ask again"}
}

// longest is how many letters a parameter may have.
const longest = 500

func (p param) check(v string) error {
	switch {
	case len(v) > longest:
		return badParam(p, "has %d letters; want %d at most", len(v), longest)
	case !printable(v):
		return badParam(p, "has letters that are not to be seen; want text in UTF-8")
	case len(p.Allow) > 0 && !slices.Contains(p.Allow, v):
		return badParam(p, "is %q; want %s%s", v, validate.Choices(p.Allow), validate.Suggest(v, p.Allow))
	case p.Type == "integer":
		n, err := strconv.ParseInt(v, 10, 64)
		if err != nil || n < p.Min || p.Max > 0 && n > p.Max {
			if p.In == "path" {
				return &problem{Status: http.StatusNotFound, Code: "unknown", Where: "path " + p.Name,
					Detail: fmt.Sprintf("%q is no number of anything here", v), Do: "take the number from a list"}
			}
			return badParam(p, "is %q; want a whole number from %d to %d", v, p.Min, p.Max)
		}
	case p.Type == "date":
		if _, err := time.Parse(time.DateOnly, v); err != nil {
			return badParam(p, "is %q; want a day such as 2026-11-25", v)
		}
	case p.Type == "time":
		if _, err := moment(v, time.UTC); err != nil {
			return badParam(p, "is %q; want a day such as 2026-11-25 or a time such as 2026-11-25T06:00:00Z", v)
		}
	}
	return nil
}

// printable reports whether a text is UTF-8 without control characters, which some
// stores do not take.
func printable(v string) bool {
	return utf8.ValidString(v) && !strings.ContainsFunc(v, unicode.IsControl)
}

// jsonOf is a content of JSON with the schema of a type.
func jsonOf(value any, says string) content { return content{"application/json", value, says} }

func typeOf(value any) reflect.Type { return reflect.TypeOf(value) }

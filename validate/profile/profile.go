package profile

import (
	"embed"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"quoin/jdf"
	"quoin/validate"
)

//go:embed published/*.yaml
var published embed.FS

const extension = ".yaml"

// maxFile is the largest profile taken, in bytes. One of a thousand clauses
// has half of it.
const maxFile = 256 << 10

// Profile is what a receiver asks of tickets and messages. It is immutable, and
// safe for concurrent use.
type Profile struct {
	Name  string // how findings call it
	Title string // one line for people
	About string // what it rests on
	From  *jdf.Source

	kinds     []jdf.Kind
	first     jdf.Version // of the standard; zero for no end
	last      jdf.Version
	processes []string // one of which a ticket must have; none for any
	claims    []string // words of ICSVersions
	clauses   []*clause
}

// clause is one demand of a profile.
type clause struct {
	id        string
	place     jdf.Place
	at        *path
	processes []string
	when      *condition // nil for always

	require, forbid, take  []item
	unique                 []item
	allow, refuse, contain []valueTest
	count                  []countTest
	condition              *condition
	conditionAt            jdf.Place

	message, do, source string
	severity            validate.Severity
	mends               validate.Party
}

// item is an element or attribute that a clause speaks of.
type item struct {
	*path
	place jdf.Place
}

// valueTest speaks of the values of an attribute; list says that it has words.
type valueTest struct {
	item
	values []string
	list   bool
}

// countTest says how often an element may stand.
type countTest struct {
	item
	least, most int // most -1 for no end
	words       string
}

// Duty is one thing that a profile asks of a sender or a receiver.
type Duty struct {
	Clause, At, When string // When is an expression, or "" for always
	Item             string // an element or attribute at At
	Does             string // gives, leaves out, or takes
	Source           string // what the clause rests on, or ""
	Place            jdf.Place
}

// What a Duty's Does can be.
const (
	Gives     = "gives"      // the sender has to write it
	LeavesOut = "leaves out" // the sender must not write it
	Takes     = "takes"      // the receiver has to read it
)

// Duties lists what the profile asks for, clause by clause: what a sender has
// to give or to leave out, and what a receiver has to take.
func (p *Profile) Duties() []Duty {
	var all []Duty
	for _, c := range p.clauses {
		for _, group := range []struct {
			does  string
			items []item
		}{{Gives, c.require}, {LeavesOut, c.forbid}, {Takes, c.take}} {
			for _, i := range group.items {
				d := Duty{Clause: c.id, At: c.at.source, Item: i.source, Does: group.does, Source: c.source, Place: i.place}
				if c.when != nil {
					d.When = c.when.source
				}
				all = append(all, d)
			}
		}
	}
	return all
}

// Clauses lists the names of the clauses that tickets are held against, in
// their order; those that only say what a receiver takes are left out.
func (p *Profile) Clauses() []string {
	var ids []string
	for _, c := range p.clauses {
		tests := len(c.require) + len(c.forbid) + len(c.allow) + len(c.refuse) + len(c.contain) + len(c.count) + len(c.unique)
		if tests > 0 || c.condition != nil {
			ids = append(ids, c.id)
		}
	}
	return ids
}

// Names lists the published profiles that are part of the program, sorted.
func Names() []string {
	entries, err := published.ReadDir("published")
	if err != nil {
		panic(fmt.Sprintf("profile: %v", err)) // the folder is part of the program
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), extension))
	}
	slices.Sort(names)
	return names
}

// Load reads a published profile by its name, or a house's own by its path,
// which ends in .yaml or .yml or has a folder in it. The error says that there
// is no such profile or that it could not be read; what is wrong in it comes as
// findings of the group house. The Profile holds what could be read, and is fit
// for use when there are no findings.
func Load(nameOrPath string) (*Profile, []validate.Finding, error) {
	if slices.Contains(Names(), nameOrPath) {
		p, findings := loadPublished(nameOrPath)
		return p, findings, nil
	}
	switch filepath.Ext(nameOrPath) {
	case ".yaml", ".yml":
	default:
		if !strings.ContainsAny(nameOrPath, `/\`) {
			return nil, nil, unknown(nameOrPath)
		}
	}
	text, err := readFile(nameOrPath)
	if err != nil {
		return nil, nil, fmt.Errorf("read profile %q: %w", nameOrPath, err)
	}
	p, findings := Decode(nameOrPath, text)
	return p, findings, nil
}

func unknown(name string) error {
	names := Names()
	hint := ""
	if near := validate.Nearest(name, names); near != "" {
		hint = fmt.Sprintf("; did you mean %s?", near)
	}
	return fmt.Errorf("there is no profile %q; want %s, or the path of a file that ends in .yaml%s",
		name, validate.Choices(names), hint)
}

func readFile(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxFile+1))
	if err != nil {
		return nil, err
	}
	if len(text) > maxFile {
		return nil, errors.New("it has over 256 KiB; make two profiles of it")
	}
	return text, nil
}

func loadPublished(name string) (*Profile, []validate.Finding) {
	text, err := published.ReadFile("published/" + name + extension)
	if err != nil {
		panic(fmt.Sprintf("profile: %v", err)) // the name is of Names
	}
	return Decode(name+extension, text)
}

package main

import (
	"fmt"
	"strings"
)

// fact is one note of appinfo: a span of versions, or a cardinality.
type fact struct {
	limit        bool
	path         string
	first, last  string
	min, max     string
	usage, wants string // Usage and ProcessUsage of a process link
}

// String is the fact in the form of the tables. An absent end of a span or
// limit is left empty.
func (f fact) String() string {
	if name, ok := strings.CutPrefix(f.path, linkPool); ok {
		if f.wants != "" {
			name += "[" + f.wants + "]"
		}
		usage := strings.ToLower(f.usage)
		if usage == "" {
			usage = "any"
		}
		if f.limit {
			return fmt.Sprintf("link %s %s %s..%s", usage, name, f.min, f.max)
		}
		return fmt.Sprintf("linkversion %s %s %s-%s", usage, name, f.first, f.last)
	}
	if f.limit {
		return fmt.Sprintf("limit %s %s..%s", f.path, f.min, f.max)
	}
	return fmt.Sprintf("version %s %s-%s", f.path, f.first, f.last)
}

// linkPool is the start of the paths that speak of the links of a process.
const linkPool = "ResourceLinkPool/"

// factsOf reads the notes of a component, and mends their spelling.
func (r *reader) factsOf(n *node, owner string) []fact {
	annotation := n.kid("annotation")
	if annotation == nil || !r.release.notes {
		return nil
	}
	var out []fact
	for _, info := range annotation.kidsNamed("appinfo") {
		for _, k := range info.kids {
			if f, ok := r.fact(k, owner); ok {
				out = append(out, f)
			}
		}
	}
	return out
}

// fact reads one note. Notes that say nothing are dropped with a word.
func (r *reader) fact(k *node, owner string) (fact, bool) {
	f := fact{
		path: k.attr["Path"], first: k.attr["First"], last: k.attr["Last"],
		min: k.attr["minOccurs"], max: k.attr["maxOccurs"],
		usage: k.attr["Usage"], wants: k.attr["ProcessUsage"],
	}
	where := fmt.Sprintf("%s: %s %q", owner, strings.TrimPrefix(k.name, "+"), f.path)
	switch k.name {
	case "+Constraint":
		f.limit = true
	case "+Version":
	case "+version":
		r.note("%s: element is spelt version; read as Version", where)
	default:
		r.note("%s: unknown note; not used", where)
		return f, false
	}
	if v := k.attr["Version"]; v != "" && f.first == "" {
		r.note("%s: attribute Version; read as First", where)
		f.first = v
	}
	if v := k.attr["maxOccvurs"]; v != "" {
		r.note("%s: attribute maxOccvurs; read as maxOccurs", where)
		f.max = v
	}
	if !f.limit && f.min+f.max != "" && f.first+f.last == "" {
		r.note("%s: carries cardinalities; read as Constraint", where)
		f.limit = true
	}
	switch f.max {
	case "unbouded":
		r.note("%s: maxOccurs is spelt unbouded; read as unbounded", where)
		f.max = ""
	case "unbounded":
		f.max = ""
	}
	f.path = r.mendPath(f.path, &f, where)
	if f.path == "" {
		return f, false
	}
	return f, true
}

// ofLink tells whether the fact speaks of the link of a process.
func (f fact) ofLink() bool { return strings.HasPrefix(f.path, linkPool) }

// mergeFacts joins facts that speak of the same thing in the lenient way: the
// earliest first version, the latest last one, the widest limit.
func mergeFacts(list []fact) []fact {
	type key struct {
		limit              bool
		path, usage, wants string
	}
	at := map[key]int{}
	var out []fact
	for _, f := range list {
		k := key{f.limit, f.path, f.usage, f.wants}
		i, seen := at[k]
		if !seen {
			at[k] = len(out)
			out = append(out, f)
			continue
		}
		o := &out[i]
		if f.limit {
			o.min = min(o.min, f.min)
			if f.max == "" || o.max == "" {
				o.max = ""
			} else {
				o.max = max(o.max, f.max)
			}
			continue
		}
		if o.first == "" || f.first != "" && f.first < o.first {
			o.first = f.first
		}
		o.last = max(o.last, f.last)
	}
	return out
}

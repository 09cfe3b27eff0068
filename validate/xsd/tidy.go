package xsd

import (
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"quoin/jdf"
	"quoin/validate"
)

// The head of a message of the engine, and the lists it may hold. They are
// compiled when they are asked for: most runs have no schema.
var (
	head     = later(`^Element '([^']+)'(?:, attribute '([^']+)')?: `)
	facet    = later(`^\[facet '[^']+'\] `)
	set      = later(`element of the set \{(.*)\}$`)
	expected = later(`Expected is (?:one of )?\( (.*) \)$`)
	typed    = later(`type '\{[^{}\s]+\}`)
	other    = later(`##other\{[^{}\s]+\}\*`)
	takenID  = later(`type '(?:xs:)?ID'$`)
	spaced   = later(`\{([^{}\s]+)\}([\pL_][\pL\pN._-]*|\*)`)
)

func later(expression string) func() *regexp.Regexp {
	return sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(expression) })
}

// tidy takes a message of the engine apart: what it speaks of, the name of the
// attribute if it is one, and the rest. Namespaces in braces give way to what
// the ticket itself writes; long lists are cut.
func tidy(n jdf.Node, message string) (what string, attr jdf.Name, rest string) {
	rest = strings.TrimSpace(message)
	what = n.Local()
	if m := head().FindStringSubmatch(rest); m != nil {
		rest = rest[len(m[0]):]
		what = shorten(n, m[1])
		if m[2] != "" {
			attr.Local = m[2]
			if end := strings.LastIndexByte(m[2], '}'); end > 0 {
				attr = jdf.Name{Space: m[2][1:end], Local: m[2][end+1:]}
			}
			what += "/@" + shorten(n, m[2])
		}
	}
	rest = strings.TrimSuffix(facet().ReplaceAllString(rest, ""), ".")
	if m := set().FindStringSubmatchIndex(rest); m != nil {
		rest = rest[:m[2]-1] + "{" + choices(strings.Trim(rest[m[2]:m[3]], "'"), "', '") + "}"
	}
	if m := expected().FindStringSubmatchIndex(rest); m != nil {
		list := other().ReplaceAllString(rest[m[2]:m[3]], "any of another namespace")
		list = shorten(n, list)
		rest = strings.TrimSuffix(strings.TrimSpace(rest[:m[0]]), ".") + "; want " + choices(list, ", ")
	}
	rest = typed().ReplaceAllString(rest, "type '") // the ticket has no say in the names of types
	if takenID().MatchString(rest) {
		rest += ", or another element has it" // the engine says no more of an ID given twice
	}
	return what, attr, lowerFirst(shorten(n, rest))
}

func choices(list, between string) string {
	return validate.Choices(strings.Split(list, between))
}

// shorten writes {namespace}name as the ticket does at the node.
func shorten(n jdf.Node, text string) string {
	return spaced().ReplaceAllStringFunc(text, func(name string) string {
		m := spaced().FindStringSubmatch(name)
		if prefix, ok := prefixOf(n, m[1]); ok {
			return prefix + m[2]
		}
		return name
	})
}

// prefixOf finds what stands before names of a namespace: nothing for the
// default namespace and for those of the standard, else the prefix and a colon.
func prefixOf(n jdf.Node, space string) (string, bool) {
	if slices.Contains([]string{n.Space(), jdf.NamespaceJDF, jdf.NamespaceXJDF}, space) {
		return "", true
	}
	if space == jdf.NamespaceXML {
		return "xml:", true
	}
	for p := n; p.Valid(); p = p.Parent() {
		for prefix, s := range p.Namespaces() {
			if bound, _ := n.Lookup(prefix); s != space || bound != space {
				continue
			}
			if prefix == "" {
				return "", true
			}
			return prefix + ":", true
		}
	}
	return "", false
}

func lowerFirst(text string) string {
	r, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToLower(r)) + text[size:]
}

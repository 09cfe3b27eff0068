package convert

import (
	"bufio"
	"io"
	"strings"

	"quoin/jdf"
)

// WriteTo writes the document as UTF-8, with two spaces for each level. Foreign
// namespaces that are used, in names or as the prefix of a value, are declared
// at the root. It is written piece by piece: the text of a large ticket is
// never held as a whole.
func (o Output) WriteTo(w io.Writer) (int64, error) {
	out := &counter{to: w}
	space := setOf(o.Kind.First()).Namespace()
	p := &printer{Writer: bufio.NewWriterSize(out, 1<<16), prefixes: o.prefixes, namespace: space}
	p.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	p.element(o.root, 0, false)
	p.WriteByte('\n')
	return out.n, p.Flush()
}

// counter counts what is written.
type counter struct {
	to io.Writer
	n  int64
}

func (c *counter) Write(b []byte) (int, error) {
	n, err := c.to.Write(b)
	c.n += int64(n)
	return n, err
}

// printer writes elements. A bufio.Writer keeps its first error, so that each
// call need not be asked.
type printer struct {
	*bufio.Writer
	*prefixes
	namespace string
}

// element writes one element. Where text stands beside elements nothing is
// indented: white space would be a part of it.
func (p *printer) element(e *elem, depth int, inline bool) {
	name := e.local
	if e.space != "" && e.space != p.namespace {
		name = p.of[e.space] + ":" + name
	}
	p.WriteByte('<')
	p.WriteString(name)
	if depth == 0 {
		p.declare(e)
	}
	for i := range e.attrs {
		p.attribute(&e.attrs[i])
	}
	if e.text == "" && len(e.kids) == 0 {
		p.WriteString("/>")
		return
	}
	p.WriteByte('>')
	p.escape(e.text, false)
	inline = inline || e.text != "" || hasText(e)
	for _, c := range e.kids {
		if c.local == "" {
			p.escape(c.text, false)
			continue
		}
		if !inline {
			p.indent(depth + 1)
		}
		p.element(c, depth+1, inline)
	}
	if !inline {
		p.indent(depth)
	}
	p.WriteString("</")
	p.WriteString(name)
	p.WriteByte('>')
}

func hasText(e *elem) bool {
	for _, c := range e.kids {
		if c.local == "" {
			return true
		}
	}
	return false
}

func (p *printer) indent(depth int) {
	p.WriteByte('\n')
	for range depth {
		p.WriteString("  ")
	}
}

func (p *printer) attribute(a *attr) {
	p.WriteByte(' ')
	if space := a.space(); space != "" {
		p.WriteString(p.of[space])
		p.WriteByte(':')
	}
	p.WriteString(a.local())
	p.WriteString(`="`)
	p.escape(a.value, true)
	p.WriteByte('"')
}

// declare writes the namespaces of a document at its root.
func (p *printer) declare(root *elem) {
	need := map[string]bool{}
	p.mentioned(root, need)
	p.WriteString(` xmlns="` + p.namespace + `"`)
	for _, space := range sorted(p.of) {
		prefix := p.of[space]
		if need[prefix] && space != p.namespace && prefix != "xml" {
			p.WriteString(" xmlns:" + prefix + `="`)
			p.escape(space, true)
			p.WriteByte('"')
		}
	}
}

// mentioned gathers the prefixes that a tree needs.
func (p *printer) mentioned(e *elem, need map[string]bool) {
	if e.space != "" && e.space != p.namespace {
		need[p.of[e.space]] = true
	}
	for i := range e.attrs {
		a := &e.attrs[i]
		space := a.space()
		if space != "" {
			need[p.of[space]] = true
		}
		if before, _, ok := strings.Cut(a.value, ":"); ok && (space == "" || space == jdf.NamespaceXSI) {
			// The last word before a colon may be a prefix, as in a list of process types.
			before = before[strings.LastIndexAny(before, " \t")+1:]
			if before != "" && p.used[before] {
				need[before] = true
			}
		}
	}
	for _, c := range e.kids {
		p.mentioned(c, need)
	}
}

// escape writes text so that it is read back as it is. White space other than
// blanks is written as a reference in values, which would be read as blanks.
func (p *printer) escape(s string, value bool) {
	from := 0
	for i := 0; i < len(s); i++ {
		ref := ""
		switch s[i] {
		case '&':
			ref = "&amp;"
		case '<':
			ref = "&lt;"
		case '>':
			ref = "&gt;"
		case '\r':
			ref = "&#xD;"
		case '"', '\n', '\t':
			if !value {
				continue
			}
			ref = map[byte]string{'"': "&quot;", '\n': "&#xA;", '\t': "&#x9;"}[s[i]]
		default:
			continue
		}
		p.WriteString(s[from:i])
		p.WriteString(ref)
		from = i + 1
	}
	p.WriteString(s[from:])
}

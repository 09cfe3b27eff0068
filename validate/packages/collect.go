package packages

import (
	"strings"

	"quoin/jdf"
)

// reference is one URL of a ticket that means a file.
type reference struct {
	attr   jdf.Attr
	owner  jdf.Node // FileSpec, Preview, QueueSubmissionParams, …
	prefix string   // RunList/@Directory or Preview/@Directory, ending in a slash, or ""
	output bool     // the file is made by the job, and need not be there
	inner  bool     // the file is in an archive that a Container names
}

// references is what the rules need to know of a document's URLs.
type references struct {
	list []reference

	// For a document that has such URLs alone:
	by   map[string][]jdf.Node      // elements that refer to an ID by rRef, links left out
	used map[string]map[string]bool // by ID: how links use it, by Usage and by ProcessUsage
}

// fileElements are the elements whose URL means a file, not an address that
// messages are sent to.
var fileElements = []string{
	"FileSpec", "Preview", "QueueSubmissionParams", "ResubmissionParams", "ReturnQueueEntryParams",
}

// collect finds the URLs of a document in its order. Any attribute may hold a
// cid: URL, which can mean nothing but a part.
func collect(doc *jdf.Document) *references {
	r := &references{}
	for n := range doc.Elements() {
		files := n.Is(fileElements...)
		for a := range n.Attrs() {
			if files && a.Name() == (jdf.Name{Local: "URL"}) || hasPrefixFold(a.Value(), "cid:") {
				if r.by == nil {
					r.links(doc)
				}
				r.list = append(r.list, reference{
					attr: a, owner: n, prefix: directory(r.runList(n), n),
					output: r.output(n), inner: n.Child("Container").Valid(),
				})
			}
		}
	}
	return r
}

// links finds what refers to resources by their ID.
func (r *references) links(doc *jdf.Document) {
	r.by, r.used = map[string][]jdf.Node{}, map[string]map[string]bool{}
	for n := range doc.Elements() {
		id := n.Get("rRef")
		if id == "" {
			continue
		}
		if n.Parent().Is("ResourceLinkPool") {
			if r.used[id] == nil {
				r.used[id] = map[string]bool{}
			}
			r.used[id][n.Get("Usage")] = true
			r.used[id][n.Get("ProcessUsage")] = true
			continue
		}
		r.by[id] = append(r.by[id], n)
	}
}

func hasPrefixFold(s, prefix string) bool {
	return len(s) >= len(prefix) && strings.EqualFold(s[:len(prefix)], prefix)
}

// directory is what relative URLs of an element start with, when it says so.
func directory(runList, n jdf.Node) string {
	for ; runList.Is("RunList"); runList = runList.Parent() {
		if d := runList.Get("Directory"); d != "" {
			return strings.TrimSuffix(d, "/") + "/"
		}
	}
	if d := n.Get("Directory"); d != "" && n.Is("Preview") {
		return strings.TrimSuffix(d, "/") + "/"
	}
	return ""
}

// climb walks from an element to all that hold it, by nesting and by
// reference, until yield is false for a branch.
func (r *references) climb(n jdf.Node, yield func(jdf.Node) bool) {
	seen := map[int]bool{}
	var walk func(jdf.Node)
	walk = func(n jdf.Node) {
		for ; n.Valid() && !seen[n.Index()]; n = n.Parent() {
			seen[n.Index()] = true
			if !yield(n) {
				return
			}
			if id := n.Get("ID"); id != "" {
				for _, from := range r.by[id] {
					walk(from)
				}
			}
		}
	}
	walk(n)
}

// runList is the first RunList that holds an element.
func (r *references) runList(n jdf.Node) jdf.Node {
	var found jdf.Node
	r.climb(n, func(m jdf.Node) bool {
		if m.Is("RunList") && !found.Valid() {
			found = m
		}
		return !found.Valid()
	})
	return found
}

// output reports whether all that use a file make it: it is in an output set
// of an XJDF, or in a JDF resource that is linked as output alone or that is
// not available yet.
func (r *references) output(n jdf.Node) bool {
	inputs, outputs := false, false
	r.climb(n, func(m jdf.Node) bool {
		switch {
		case m.Is("ResourceSet"):
			outputs = outputs || m.Get("Usage") == "Output"
			inputs = inputs || m.Get("Usage") != "Output"
			return false
		case m.Parent().Is("ResourcePool"):
			usage := r.used[m.Get("ID")]
			waits := m.Get("Status") == "Unavailable" || m.Get("Status") == "Incomplete"
			outputs = outputs || usage["Output"] || waits
			inputs = inputs || usage["Input"] && !waits
		}
		return true
	})
	return outputs && !inputs
}

// sheetRoles are the uses of a run list whose pages are whole sheets, or marks
// for them, and no pages of the product (Imposition in the standard).
var sheetRoles = []string{"Marks", "Surface"}

// artwork reports whether a file is pages of the product: a run list refers to
// it, and not as sheets.
func (r *references) artwork(n jdf.Node) bool {
	if !r.runList(n).Valid() {
		return false
	}
	sheets := false
	r.climb(n, func(m jdf.Node) bool {
		for _, role := range sheetRoles {
			sheets = sheets || m.Is("ResourceSet") && m.Get("ProcessUsage") == role
			sheets = sheets || m.Parent().Is("ResourcePool") && r.used[m.Get("ID")][role]
		}
		return true
	})
	return !sheets
}

// artworks counts the files that are to be pages of the product, wherever they are.
func (r *references) artworks() int {
	count := 0
	for _, ref := range r.list {
		if ref.owner.Is("FileSpec") && !ref.output && r.artwork(ref.owner) {
			count++
		}
	}
	return count
}

package packages

import (
	"path"
	"strings"

	"quoin/jdf"
	"quoin/jdf/pack"
	"quoin/validate"
)

var (
	ruleRootNotTicket = &validate.Rule{
		ID: "pack/root-not-ticket", Severity: validate.Error, Mends: validate.Sender,
		Say: "the root part of the message is {got}; want a ticket or message", Do: "put the message, or the " +
			"ticket, first",
		Why: "A receiver starts at the root of a multipart/related message, which is the JMF or else the JDF " +
			"(RFC 2387, section 3.2; Building a system chapter of the standard).",
	}
	ruleRootMissing = &validate.Rule{
		ID: "pack/root-missing", Severity: validate.Error, Mends: validate.Sender,
		Say: "no ticket or message stands at the top of the package", Do: "put the XJMF, or the XJDF, at the top",
		Why: "A receiver starts at the document at the top of a ZIP package; tickets below it are found by " +
			"their URLs (Building a system chapter of the standard).",
	}
	ruleRootType = &validate.Rule{
		ID: "pack/root-type", Severity: validate.Warning, Mends: validate.Sender,
		Say: "the message is of type {got|q}, and its root is {want|q}", Do: "write the media type of the root " +
			"part as type parameter",
		Why: "The type parameter repeats the media type of the root (RFC 2387, section 3.1); receivers choose " +
			"by it who is to read the message.",
	}
	ruleMediaType = &validate.Rule{
		ID: "pack/media-type", Severity: validate.Error, Mends: validate.Sender,
		Say: "the part holds {kind}, and its Content-Type is {got|q}; want {want}", Do: "name the media type of " +
			"what the part holds",
		Why: "Receivers choose by the media type how to read a part; tickets and messages have types of their " +
			"own (IANA registry of media types).",
	}
	rulePartUnused = &validate.Rule{
		ID: "pack/part-unused", Severity: validate.Note, Mends: validate.Sender,
		Say: "nothing in the package refers to the part", Do: "leave it out, or refer to it",
		Why: "Every part but the root is there for something that refers to it; one without may stand for a URL " +
			"that was mistyped.",
	}
	ruleDuplicateJob = &validate.Rule{
		ID: "pack/duplicate-job-part", Severity: validate.Warning, Mends: validate.Sender,
		Say: "job {job|q}, part {part|q} is in the package twice", Do: "give each ticket a JobPartID of its own",
		Why: "JobID and JobPartID together name one ticket (Structure chapter of the standard); of two, a " +
			"receiver can not tell which is meant.",
	}
)

var contentRules = []*validate.Rule{
	ruleRootNotTicket, ruleRootMissing, ruleRootType, ruleMediaType, rulePartUnused, ruleDuplicateJob,
}

// contents is what the parts of a package turned out to be.
type contents struct {
	pkg   *pack.Package
	kinds map[*pack.Part]contentKind
	whole bool // every part was taken, and every ticket could be read
}

// together holds the parts of a package against one another.
func (c *check) together(all *contents) {
	p := all.pkg
	if p.Format == pack.MIME {
		c.root(all)
		c.mediaTypes(all)
	} else if !c.topTicket(all) {
		c.add(ruleRootMissing.At(at(c.name, nil)))
	}
	c.duplicateJobs()
	if all.whole {
		c.unused(all)
	}
}

func (c *check) root(all *contents) {
	root := all.pkg.Root
	if root == nil {
		return
	}
	kind, taken := all.kinds[root]
	if !taken {
		return
	}
	if kind != kindTicket {
		got := string(kind)
		if kind == kindOther {
			got = root.Type
		}
		c.add(ruleRootNotTicket.At(at(c.name, root), validate.F("got", got)))
	}
	if want := all.pkg.RootType; want != "" && want != root.Type {
		c.add(ruleRootType.At(at(c.name, nil), validate.F("got", want), validate.F("want", root.Type)))
	}
}

// topTicket reports whether there is a document at the top of a ZIP. A part
// that was refused may have been it, and has its finding already.
func (c *check) topTicket(all *contents) bool {
	for _, part := range all.pkg.Parts {
		kind, taken := all.kinds[part]
		if !taken || kind == kindTicket && isTop(part) {
			return true
		}
	}
	return false
}

func isTop(part *pack.Part) bool { return path.Dir(part.Name) == "." }

// mediaTypes holds the types that a MIME package names against its parts.
func (c *check) mediaTypes(all *contents) {
	docs := map[*pack.Part]jdf.Kind{}
	for _, t := range c.tickets {
		docs[t.part] = t.doc.Kind
	}
	for _, part := range all.pkg.Parts {
		kind := all.kinds[part]
		if want, ok := ticketTypes[docs[part]]; ok {
			if part.Type == want {
				continue
			}
			f := ruleMediaType.At(at(c.name, part), validate.F("kind", docs[part].String()),
				validate.F("got", part.Type), validate.F("want", want))
			if part.Type == "text/xml" || part.Type == "application/xml" {
				f.Severity = validate.Warning // true, but it does not say enough
			}
			c.add(f)
			continue
		}
		if types := mediaTypes[kind]; len(types) > 0 && typeOf(part.Type) != kind && !generic(part.Type) {
			c.add(ruleMediaType.At(at(c.name, part), validate.F("kind", string(kind)),
				validate.F("got", part.Type), validate.F("want", types[0])))
		}
	}
}

func (c *check) duplicateJobs() {
	first := map[[2]string]jdf.Place{}
	for _, t := range c.tickets {
		if t.doc.Kind != jdf.KindXJDF || !t.job.ID.Given {
			continue
		}
		key := [2]string{t.job.ID.Value, t.job.PartID.Value}
		if other, taken := first[key]; taken {
			c.add(ruleDuplicateJob.At(t.job.ID.Place, validate.F("job", key[0]), validate.F("part", key[1])).
				With(other, "first used here"))
			continue
		}
		first[key] = t.job.ID.Place
	}
}

// unused notes parts that nothing leads to. In a ZIP the documents at the top
// are where a receiver starts: the messages, or without any the tickets.
func (c *check) unused(all *contents) {
	p := all.pkg
	used := map[*pack.Part]bool{p.Root: true}
	message := false
	for _, t := range c.tickets {
		message = message || t.doc.Kind.Message() && isTop(t.part)
	}
	for _, t := range c.tickets {
		if p.Format == pack.ZIP && isTop(t.part) && (t.doc.Kind.Message() || !message) {
			used[t.part] = true
		}
		for _, ref := range t.refs.list {
			if part, ok := p.Find(t.part, ref.url()); ok {
				used[part] = true
			}
		}
	}
	for _, part := range p.Parts {
		if !used[part] && !strings.HasPrefix(part.Name, "META-INF/") && part.Name != "mimetype" {
			c.add(rulePartUnused.At(at(c.name, part)))
		}
	}
}

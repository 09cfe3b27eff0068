package packages

import (
	"crypto/md5"
	"encoding/hex"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"quoin/jdf/pack"
	"quoin/validate"
)

var (
	ruleCIDMissing = refRule("cid-without-part", validate.Error,
		"{attr} is {url|q}, and no part has that Content-ID{near}", "add the part, or name one that is there",
		"A cid: URL names a part of the same message (RFC 2392); a device can not work with a file that it does "+
			"not get.")
	ruleCIDOutside = refRule("cid-outside-mime", validate.Error,
		"{attr} is {url|q}, and the ticket is not in a MIME package",
		"send the ticket and the file together, or name the file by its path",
		"A cid: URL means something inside a MIME message only (RFC 2392).")
	ruleFileMissing = refRule("file-missing", validate.Error,
		"{attr} is {url|q}, and there is no such file {where}{near}",
		"send the file with the ticket, or name one that is there",
		"A relative URL is resolved from where the ticket is (RFC 3986, section 5); a device can not work with "+
			"a file that it does not get.")
	ruleURLEscapes = refRule("url-escapes", validate.Error,
		"{attr} is {url|q}, which holds {got}; want a path inside {scope}",
		"name the file by a relative path with slashes",
		"A URL that leads out of the package or folder could reach any file of the receiver; it is checked "+
			"after decoding %2e and its like.")
	ruleURLSyntax = refRule("url-syntax", validate.Error,
		"{attr} is {url|q}, which holds {got}; want a URL",
		"write a blank as %20 and any other foreign byte as % and two digits",
		"URLs follow RFC 3986; letters beyond ASCII may stand as UTF-8.")
	ruleURLLocal = refRule("url-local", validate.Warning,
		"{attr} is {url|q}, a path of the sender's machine", "put the file into the package and name it there",
		"A file: URL in a package leads to the receiver's own disk (base conformance level), where the sender's "+
			"file is not.")
	ruleNotLookedInto = refRule("file-not-looked-into", validate.Note,
		"{attr} is {url|q}, outside the ticket's folder, and was not looked into",
		"name its folder with --files to have the file checked, or send it with the ticket",
		"A ticket must not make its reader open any file of the machine; what lies outside the folders that are "+
			"allowed stays unread, and so unchecked.")
	ruleURLScheme = refRule("url-scheme", validate.Warning,
		"{attr} is {url|q}, of the scheme {got|q}; want cid, http, https, file or a relative path",
		"name the file in a way that the receiver can use",
		"The base conformance level asks receivers for these schemes only.")
	ruleURLTemplate = refRule("url-and-template", validate.Warning,
		"FileSpec has both URL and FileFormat", "keep URL for one file, or FileFormat with FileTemplate for many",
		"URL names one file, FileFormat a set of them; of both, receivers differ in which they take (FileSpec "+
			"in the standard).")
	ruleTemplateCount = refRule("template-count", validate.Error,
		"FileSpec/@FileFormat has {got} items, and FileTemplate names {want}", "name one value for each item",
		"Each % item of FileFormat takes the next name of FileTemplate (generating strings in the standard).")
	ruleFileSize = refRule("file-size-differs", validate.Warning,
		"FileSpec/@FileSize is {want}, and the file has {got} bytes", "write the size of the file that is sent",
		"A file of another size is another file, or was cut off (FileSpec in the standard).")
	ruleCheckSum = refRule("checksum-differs", validate.Warning,
		"FileSpec/@CheckSum is {want}, and the MD5 sum of the file is {got}",
		"send the file that the ticket was written for",
		"A file with another sum is another file (CheckSum is the MD5 sum; FileSpec in the standard).")
	ruleMimeType = refRule("mime-type-differs", validate.Warning,
		"FileSpec/@MimeType is {want|q}, and the file is {got}", "name the media type of the file",
		"Devices choose by MimeType how to read a file (FileSpec in the standard).")
)

var referenceRules = []*validate.Rule{
	ruleCIDMissing, ruleCIDOutside, ruleFileMissing, ruleURLEscapes, ruleURLSyntax, ruleURLLocal, ruleNotLookedInto,
	ruleURLScheme,
	ruleURLTemplate, ruleTemplateCount, ruleFileSize, ruleCheckSum, ruleMimeType,
}

func refRule(slug string, severity validate.Severity, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupPack + "/" + slug, Severity: severity, Mends: validate.Sender, Say: say, Do: do, Why: why,
	}
}

// url is the URL with the directory that it starts from.
func (r reference) url() string {
	value := strings.TrimSpace(r.attr.Value())
	if target, err := pack.Locate("", value); r.prefix != "" && err == nil && target.Reach == pack.Inside {
		return r.prefix + value
	}
	return value
}

func (r reference) at(rule *validate.Rule, facts ...validate.Fact) validate.Finding {
	facts = append(facts, validate.F("attr", r.owner.Local()+"/@"+r.attr.Local()), validate.F("url", r.attr.Value()))
	return rule.At(r.attr.Place(), facts...)
}

// references looks where every URL of the tickets leads.
func (c *check) references() error {
	for _, t := range c.tickets {
		c.templates(t)
		var found []found
		for _, ref := range t.refs.list {
			if err := c.ctx.Err(); err != nil {
				return err
			}
			a, err := c.resolve(t, ref)
			if err != nil {
				return err
			}
			if a == nil || a.refused || !ref.owner.Is("FileSpec") || ref.output {
				continue
			}
			f, err := c.file(ref, a)
			if err != nil {
				return err
			}
			found = append(found, f)
		}
		c.pdfsOf(t, found)
	}
	return nil
}

// resolve finds the file of a reference, and tells when it is not there.
func (c *check) resolve(t *ticket, ref reference) (*asset, error) {
	folder := ""
	if t.part != nil {
		folder = t.part.Name
		folder = folder[:strings.LastIndexByte(folder, '/')+1]
	}
	url := ref.url()
	target, err := pack.Locate(folder, url)
	if err != nil {
		c.malformed(ref, err)
		return nil, nil
	}
	if ref.inner {
		return nil, nil
	}
	inPackage := c.store.format() != pack.None
	switch target.Reach {
	case pack.Remote:
		if !slices.Contains([]string{"http", "https", "ftp"}, target.Scheme) {
			c.add(ref.at(ruleURLScheme, validate.F("got", target.Scheme)))
		}
		return nil, nil
	case pack.Local:
		if inPackage && !ref.output {
			c.add(ref.at(ruleURLLocal))
		}
		if !c.store.reaches(target) {
			if !inPackage && !ref.output {
				c.add(ref.at(ruleNotLookedInto))
			}
			return nil, nil
		}
	case pack.ByID:
		if c.store.format() != pack.MIME {
			c.add(ref.at(ruleCIDOutside))
			return nil, nil
		}
	}
	a, err := c.store.find(t.part, url, target)
	if a != nil || err != nil || ref.output {
		return a, err
	}
	c.missing(ref, target)
	return nil, nil
}

func (c *check) malformed(ref reference, err error) {
	problem, ok := err.(*pack.ReferenceError)
	if !ok {
		return
	}
	rule, scope := ruleURLSyntax, "the package"
	if problem.Escape {
		rule = ruleURLEscapes
	}
	if c.store.format() == pack.None {
		scope = "the ticket's folder"
	}
	c.add(ref.at(rule, validate.F("got", problem.Got), validate.F("scope", scope)))
}

func (c *check) missing(ref reference, target pack.Target) {
	if target.Reach == pack.ByID {
		c.add(ref.at(ruleCIDMissing, validate.F("near", c.near(target.ID, func(p *pack.Part) string { return p.ID }))))
		return
	}
	where := "beside the ticket"
	if c.store.format() != pack.None {
		where = "in the package"
	}
	c.add(ref.at(ruleFileMissing, validate.F("where", where),
		validate.F("near", c.near(target.Path, func(p *pack.Part) string { return p.Name }))))
}

// near offers the part that was most likely meant.
func (c *check) near(word string, name func(*pack.Part) string) string {
	p, ok := c.store.(*parts)
	if !ok {
		return ""
	}
	var candidates []string
	for _, part := range p.Parts {
		if n := name(part); n != "" {
			candidates = append(candidates, n)
		}
	}
	if near := validate.Nearest(word, candidates); near != "" {
		return fmt.Sprintf("; did you mean %q?", near)
	}
	return ""
}

// found is a file that a FileSpec leads to.
type found struct {
	ref   reference
	asset *asset
	kind  contentKind
	pdf   *pdfResult // nil for other files
}

// file holds what a FileSpec says of its file against the file.
func (c *check) file(ref reference, a *asset) (found, error) {
	f := found{ref: ref, asset: a}
	head, err := headOf(a.open)
	if err != nil {
		return f, fmt.Errorf("read file %q: %w", a.key, err)
	}
	f.kind = kindOf(head)
	spec := ref.owner
	if size := spec.Attr("FileSize"); size.Valid() {
		if n, err := strconv.ParseInt(strings.TrimSpace(size.Value()), 10, 64); err == nil && n != a.size {
			c.add(ruleFileSize.At(size.Place(), validate.F("want", n), validate.F("got", a.size)))
		}
	}
	if want := typeOf(spec.Get("MimeType")); want != kindOther && want != f.kind {
		got := "of another kind"
		if f.kind != kindOther {
			got = string(f.kind)
		}
		c.add(ruleMimeType.At(
			spec.Attr("MimeType").Place(), validate.F("want", spec.Get("MimeType")), validate.F("got", got),
		))
	}
	if err := c.checkSum(ref, a); err != nil {
		return f, err
	}
	if f.kind == kindPDF {
		f.pdf, err = c.pdf(a)
	}
	return f, err
}

// checkSum compares the MD5 sum. It shows a file that was mixed up or cut off,
// not one that was forged.
func (c *check) checkSum(ref reference, a *asset) error {
	attr := ref.owner.Attr("CheckSum")
	want := strings.ToLower(strings.TrimSpace(attr.Value()))
	if len(want) != 2*md5.Size {
		return nil // no MD5 sum; the structure stage tells what is no hexadecimal number
	}
	r, err := a.open()
	if err != nil {
		return fmt.Errorf("read file %q: %w", a.key, err)
	}
	defer r.Close()
	sum := md5.New()
	if _, err := io.Copy(sum, r); err != nil {
		return fmt.Errorf("read file %q: %w", a.key, err)
	}
	if got := hex.EncodeToString(sum.Sum(nil)); got != want {
		c.add(ruleCheckSum.At(attr.Place(), validate.F("want", want), validate.F("got", got)))
	}
	return nil
}

// templates looks at the FileSpecs that mean many files.
func (c *check) templates(t *ticket) {
	for n := range t.doc.Elements() {
		if !n.Is("FileSpec") || !n.Has("FileFormat") {
			continue
		}
		if n.Has("URL") {
			c.add(ruleURLTemplate.At(n.Attr("FileFormat").Place()))
		}
		names := strings.FieldsFunc(n.Get("FileTemplate"), func(r rune) bool { return r == ',' || r == ' ' })
		items := strings.Count(strings.ReplaceAll(n.Get("FileFormat"), "%%", ""), "%")
		if n.Has("FileTemplate") && items != len(names) {
			c.add(ruleTemplateCount.At(n.Attr("FileFormat").Place(),
				validate.F("got", items), validate.F("want", len(names))))
		}
	}
}

package dialog

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/compose"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
	"quoin/validate"
)

// opened is a document that was read, with the package around it.
type opened struct {
	pack     *pack.Package // nil when the message came alone
	root     *pack.Part    // that holds the message
	envelope *message.Envelope
}

// messageID is the ID of the first message that has one.
func (o *opened) messageID() string {
	for _, m := range o.envelope.Messages {
		if m.ID.Given {
			return m.ID.Value
		}
	}
	return ""
}

// malformed says why a document can not be answered message by message.
type malformed struct {
	status  int // of HTTP
	outcome compose.Outcome
}

func bad(status int, code message.Code, comments ...string) *malformed {
	return &malformed{status, compose.Outcome{Code: code, Comments: comments}}
}

// open reads what was posted. The result is never nil; its envelope is nil when
// there is no document at all.
func (p *Endpoint) open(in Incoming) (*opened, *malformed) {
	o := &opened{}
	media, _, _ := mime.ParseMediaType(in.Media)
	data := in.Body
	switch {
	case len(bytes.TrimSpace(data)) == 0:
		return o, bad(http.StatusBadRequest, message.MessageIncomplete, "the body is empty; post a JMF or XJMF message")
	case media == "multipart/related" || pack.Sniff(data[:min(len(data), pack.SniffLength)]) != pack.None:
		if wrong := p.unpack(o, in, media); wrong != nil {
			return o, wrong
		}
		var err error
		if data, err = content(o.root); err != nil {
			return o, bad(http.StatusOK, message.ParserError, fmt.Sprintf("part %q of the package can not be read: %v",
				o.root.Label(), err))
		}
	case !looksLikeXML(data):
		return o, bad(http.StatusUnsupportedMediaType, message.ParserError, fmt.Sprintf(
			"the body, of media type %q, is neither XML nor a package; post JMF as %s or XJMF as %s, or either in a package",
			in.Media, compose.MediaType(jdf.KindJMF), compose.MediaType(jdf.KindXJMF)))
	}
	return o, p.read(o, data)
}

// read reads the document of a message.
func (p *Endpoint) read(o *opened, data []byte) *malformed {
	name := "message"
	if o.root != nil {
		name = o.root.Label()
	}
	doc, faults, err := jdf.Read(name, bytes.NewReader(data), p.XML)
	if err != nil {
		return bad(http.StatusBadRequest, message.ParserError, err.Error())
	}
	o.envelope = message.Decode(doc)
	most := p.MaxMessages
	if most == 0 {
		most = 500
	}
	switch {
	case len(faults) > 0:
		var findings []validate.Finding
		for _, f := range faults {
			findings = append(findings, validate.OfFault(f))
		}
		return bad(http.StatusOK, message.ParserError, told(findings)...)
	case !doc.Kind.Message():
		return bad(http.StatusOK, message.ValidationError, fmt.Sprintf("the document is %s; want a JMF or XJMF message%s",
			called(doc), hint(doc)))
	case len(o.envelope.Messages) == 0:
		return bad(http.StatusOK, message.MessageIncomplete, fmt.Sprintf("the %s holds no message; put a query or command "+
			"into it", doc.Kind))
	case len(o.envelope.Messages) > most:
		return bad(http.StatusOK, message.GeneralError, fmt.Sprintf("the %s holds %d messages, and at most %d are taken; "+
			"send them in several documents", doc.Kind, len(o.envelope.Messages), most))
	}
	return nil
}

// called names a document that is no message.
func called(doc *jdf.Document) string {
	switch doc.Kind {
	case jdf.KindJDF:
		return "a JDF ticket"
	case jdf.KindXJDF:
		return "an XJDF ticket"
	}
	return fmt.Sprintf("of root %q", doc.Root().Name())
}

func hint(doc *jdf.Document) string {
	if doc.Kind == jdf.KindUnknown {
		return ""
	}
	return "; submit a ticket with SubmitQueueEntry, in a package with the message"
}

// unpack opens the package and finds the message in it. Problems of other parts
// are left for when they are wanted.
func (p *Endpoint) unpack(o *opened, in Incoming, media string) *malformed {
	r, size := bytes.NewReader(in.Body), int64(len(in.Body))
	open := func() (*pack.Package, []pack.Problem, error) { return pack.Open("package", r, size, p.Pack) }
	if media == "multipart/related" {
		open = func() (*pack.Package, []pack.Problem, error) {
			return pack.OpenMIME("package", in.Media, r, size, p.Pack)
		}
	}
	pk, problems, err := open()
	if err != nil {
		return bad(http.StatusOK, message.ParserError, "the package can not be read: "+err.Error())
	}
	o.pack, o.root = pk, rootOf(pk)
	if o.root != nil && !o.root.Refused() {
		return nil
	}
	comments := []string{"no JMF or XJMF message stands at the top of the package; put it first"}
	for _, problem := range problems {
		comments = append(comments, problem.Error())
	}
	return bad(http.StatusOK, message.ParserError, comments...)
}

// rootOf is the part that holds the message: the root of a MIME package, or the
// file at the top of a ZIP that is one by its name; else the one that comes
// nearest, so that the answer can say what stands there.
func rootOf(pk *pack.Package) *pack.Part {
	if pk.Format == pack.MIME {
		return pk.Root
	}
	for _, ext := range []string{".xjmf", ".jmf", ".xml", ".xjdf", ""} {
		i := slices.IndexFunc(pk.Parts, func(part *pack.Part) bool {
			name := strings.ToLower(part.Name)
			return path.Dir(name) == "." && !strings.HasSuffix(name, "/") && (ext == "" || path.Ext(name) == ext)
		})
		if i >= 0 {
			return pk.Parts[i]
		}
	}
	return nil
}

// content reads a part to its end.
func content(part *pack.Part) ([]byte, error) {
	r, err := part.Open()
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(r)
	if closed := r.Close(); err == nil {
		err = closed
	}
	return data, err
}

// looksLikeXML reports whether the first character is that of a tag, in UTF-8 or UTF-16.
func looksLikeXML(data []byte) bool {
	head := bytes.ReplaceAll(data[:min(len(data), 512)], []byte{0}, nil)
	return bytes.HasPrefix(bytes.TrimLeft(head, "\xef\xbb\xbf\xff\xfe \t\r\n"), []byte("<"))
}

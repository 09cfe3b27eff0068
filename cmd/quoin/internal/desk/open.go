package desk

import (
	"bytes"
	"fmt"
	"io"
	"mime"
	"path"
	"strings"

	"quoin/jdf"
	"quoin/jdf/pack"
)

// Whole gives a body as it would stand in a file: a MIME package that came by HTTP
// has its Content-Type before it, without which nobody can take it apart. Where the
// media type was not kept, the boundary is read off the first line.
func Whole(media string, body []byte) []byte {
	headless := bytes.HasPrefix(bytes.TrimLeft(body[:min(len(body), pack.SniffLength)], "\r\n"), []byte("--"))
	if !headless && pack.Sniff(body[:min(len(body), pack.SniffLength)]) != pack.None {
		return body
	}
	if boundary, ok := bytes.CutPrefix(firstLine(body), []byte("--")); ok && media == "" && len(boundary) > 0 {
		media = mime.FormatMediaType("multipart/related", map[string]string{"boundary": string(boundary)})
	}
	kind, _, err := mime.ParseMediaType(media)
	if err != nil || kind != "multipart/related" || strings.ContainsAny(media, "\r\n") {
		return body
	}
	return append([]byte("MIME-Version: 1.0\r\nContent-Type: "+media+"\r\n\r\n"), body...)
}

// longestBoundary is that of a boundary line with its hyphens.
//
// Source: RFC 2046, section 5.1.1, of 70 characters.
const longestBoundary = 72

func firstLine(body []byte) []byte {
	line, _, _ := bytes.Cut(bytes.TrimLeft(body[:min(len(body), longestBoundary+8)], "\r\n"), []byte("\n"))
	return bytes.TrimRight(line, "\r")
}

// Item is one document of what came in.
type Item struct {
	Name     string // of its file, in its package where it has one
	Document *jdf.Document
	Data     []byte // as it came
}

// Items gives the tickets and messages of a body: itself, or those in the package.
// What can not be read as one is left out; the error is that the body itself is
// neither, or can not be read.
func Items(name, media string, body []byte) ([]Item, error) {
	body = Whole(media, body)
	if pack.Sniff(body[:min(len(body), pack.SniffLength)]) == pack.None {
		item, err := read(name, body)
		if err != nil {
			return nil, err
		}
		return []Item{item}, nil
	}
	p, _, err := pack.Open(name, bytes.NewReader(body), int64(len(body)), pack.Limits{})
	if err != nil {
		return nil, fmt.Errorf("open package %q: %w", name, err)
	}
	var all []Item
	for _, part := range p.Parts {
		if part.Refused() || !mayBeTicket(part) {
			continue
		}
		data, err := content(part)
		if err != nil {
			continue // the check says what is wrong with it
		}
		if item, err := read(part.Label(), data); err == nil {
			all = append(all, item)
		}
	}
	return all, nil
}

// mayBeTicket reports whether a part is worth being read, by its name or type:
// artwork need not be unpacked to see that it is none.
func mayBeTicket(p *pack.Part) bool {
	switch strings.ToLower(path.Ext(p.Name)) {
	case ".jdf", ".xjdf", ".jmf", ".xjmf", ".xml":
		return true
	case "":
		return p.Type == "" || strings.Contains(p.Type, "xml")
	}
	return strings.HasSuffix(p.Type, "xml")
}

func content(p *pack.Part) ([]byte, error) {
	r, err := p.Open()
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(r)
	if closed := r.Close(); err == nil {
		err = closed
	}
	return data, err
}

func read(name string, data []byte) (Item, error) {
	doc, faults, err := jdf.Read(name, bytes.NewReader(data), jdf.Limits{})
	if err != nil {
		return Item{}, fmt.Errorf("read %q: %w", name, err)
	}
	if len(faults) > 0 {
		return Item{}, fmt.Errorf("read %q: it is not well-formed", name)
	}
	if doc.Kind == jdf.KindUnknown {
		return Item{}, fmt.Errorf("read %q: it is neither ticket nor message", name)
	}
	return Item{name, doc, data}, nil
}

// Ticket finds the ticket of a file name in a body; without the name, the first.
func Ticket(name, media string, body []byte) (Item, error) {
	items, err := Items(name, media, body)
	if err != nil {
		return Item{}, err
	}
	var found *Item
	for i := range items {
		if items[i].Document.Kind.Message() {
			continue
		}
		if items[i].Name == name {
			return items[i], nil
		}
		if found == nil {
			found = &items[i]
		}
	}
	if found == nil {
		return Item{}, fmt.Errorf("%q holds no ticket", name)
	}
	return *found, nil
}

// IsPackage reports whether a body is a package.
func IsPackage(media string, body []byte) bool {
	whole := Whole(media, body)
	return pack.Sniff(whole[:min(len(whole), pack.SniffLength)]) != pack.None
}

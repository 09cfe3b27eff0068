package compose

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"mime"
	"net/textproto"
	"strings"

	"quoin/jdf/pack"
)

// Attachment is a file that travels with a message.
type Attachment struct {
	ID   string // Content-ID, by which cid: URLs name it; the file name when empty
	Name string // path in the package, such as 4711.xjdf
	Type string // media type
	Data []byte
}

// Package writes a message with what goes with it: as MIME multipart/related
// for JMF, as ZIP for XJMF. Without attachments it is the bare document. It
// gives the body and the media type for the Content-Type of HTTP.
//
// In MIME attachments are named by cid: and their ID, in ZIP by their name.
func Package(e *Envelope, files ...Attachment) (body []byte, mediaType string, err error) {
	root, err := e.Bytes()
	if err != nil {
		return nil, "", err
	}
	if len(files) == 0 {
		return root, e.MediaType(), nil
	}
	var out bytes.Buffer
	if !e.first() {
		parts := []*pack.Part{pack.NewPart("root.xjmf", "", e.MediaType(), root)}
		for _, f := range files {
			parts = append(parts, pack.NewPart(f.Name, "", f.Type, f.Data))
		}
		if err := pack.WriteZIP(&out, parts); err != nil {
			return nil, "", fmt.Errorf("pack message: %w", err)
		}
		return out.Bytes(), ZIPType, nil
	}
	parts := []*pack.Part{pack.NewPart("root.jmf", "root", e.MediaType(), root)}
	for _, f := range files {
		id := f.ID
		if id == "" {
			id = f.Name
		}
		parts = append(parts, pack.NewPart(f.Name, id, f.Type, f.Data))
	}
	if err := pack.WriteMIME(&out, parts); err != nil {
		return nil, "", fmt.Errorf("pack message: %w", err)
	}
	return split(out.Bytes())
}

// ZIPType is the registered media type of an XJMF or XJDF package.
//
// Source: IANA media type registry.
const ZIPType = "application/vnd.cip4-xjdf+zip"

// URL is how the message names an attachment.
func (e *Envelope) URL(f Attachment) string {
	switch {
	case !e.first():
		return f.Name
	case f.ID != "":
		return "cid:" + f.ID
	}
	return "cid:" + f.Name
}

// split takes the headers off a MIME message: in HTTP they are those of the request.
func split(whole []byte) (body []byte, mediaType string, err error) {
	r := bufio.NewReader(bytes.NewReader(whole))
	head, err := textproto.NewReader(r).ReadMIMEHeader()
	if err != nil {
		return nil, "", fmt.Errorf("read back the headers of a package: %w", err)
	}
	body, err = io.ReadAll(r)
	if err != nil {
		return nil, "", fmt.Errorf("read back a package: %w", err)
	}
	media, params, err := mime.ParseMediaType(head.Get("Content-Type"))
	if err != nil {
		return nil, "", fmt.Errorf("read back the media type of a package: %w", err)
	}
	return body, strings.ReplaceAll(mime.FormatMediaType(media, params), "\r\n", ""), nil
}

package api

import (
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"path"
	"strings"
)

// document is a ticket, a message or a package as it was sent.
type document struct {
	name, media string
	data        []byte
}

// mostForm is how many parts of a form are looked at before the file.
const mostForm = 20

// document reads the body: the bytes themselves, or the first file of a form.
func (c *call) document() (document, error) {
	media, _, err := mime.ParseMediaType(c.r.Header.Get("Content-Type"))
	if given := c.r.Header.Get("Content-Type"); given != "" && (err != nil || len(given) > longest || !printable(given)) {
		return document{}, &problem{Status: http.StatusUnsupportedMediaType, Code: "media-type",
			Where:  "header Content-Type",
			Detail: fmt.Sprintf("Content-Type is %q, which is no media type", c.r.Header.Get("Content-Type")),
			Do:     "send the media type of the ticket, or none"}
	}
	if media == "multipart/form-data" {
		return c.form()
	}
	d := document{name: fileName(c.text("name")), media: c.r.Header.Get("Content-Type")}
	if d.data, err = readAll(c.r.Body); err != nil {
		return d, err
	}
	return d, d.some()
}

func (c *call) form() (document, error) {
	form, err := c.r.MultipartReader()
	if err != nil {
		return document{}, badForm(err)
	}
	for range mostForm {
		part, err := form.NextPart()
		if err == io.EOF {
			break
		}
		if err != nil {
			return document{}, badForm(err)
		}
		if part.FileName() == "" {
			continue
		}
		d := document{name: fileName(part.FileName()), media: mediaOf(part.FileName(),
			part.Header.Get("Content-Type"))}
		if d.data, err = readAll(part); err != nil {
			return d, badForm(err)
		}
		return d, d.some()
	}
	return document{}, badForm(errors.New("there is no file in it"))
}

func badForm(err error) error {
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return err
	}
	return &problem{Status: http.StatusBadRequest, Code: "body-wrong", Where: "body",
		Detail: "the form can not be read: " + err.Error(), Do: "send one file, or the ticket itself as the body"}
}

func readAll(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(r)
	var large *http.MaxBytesError
	if err != nil && !errors.As(err, &large) {
		err = &problem{Status: http.StatusBadRequest, Code: "body-wrong", Where: "body",
			Detail: "the body can not be read: " + err.Error(), Do: "send it again, whole"}
	}
	return data, err
}

func (d document) some() error {
	if len(d.data) == 0 {
		return &problem{Status: http.StatusBadRequest, Code: "body-empty", Where: "body", Detail: "the body is empty",
			Do: "send a ticket, a message or a package"}
	}
	return nil
}

// fileName is the last part of a name, so that it can not lead elsewhere. One that can
// not be kept is left out.
func fileName(given string) string {
	name := path.Base(strings.ReplaceAll(given, `\`, "/"))
	if name == "." || name == "/" || name == ".." || len(name) > longest || !printable(name) {
		return "ticket"
	}
	return name
}

// medias are the media types of files by their names.
var medias = map[string]string{
	".jdf": "application/vnd.cip4-jdf+xml", ".jmf": "application/vnd.cip4-jmf+xml",
	".xjdf": "application/vnd.cip4-xjdf+xml", ".xjmf": "application/vnd.cip4-xjmf+xml", ".zip": "application/zip",
}

// mediaOf is the media type of a file; browsers know none of those of tickets.
func mediaOf(name, given string) string {
	if m := medias[strings.ToLower(path.Ext(name))]; m != "" {
		return m
	}
	return given
}

package board

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"path"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate"
	"quoin/validate/render"
)

type uploadPage struct {
	Most  string
	Wrong string
}

// checkedPage is what was found in a file, before anybody has taken it.
type checkedPage struct {
	Name, Media, Blob, Size string
	Report                  *report
	Tickets                 []works.Submission
	Refused                 string // why it can not be handed in, "" when it can
}

func (b *board) showUpload(w http.ResponseWriter, r *http.Request) error {
	return b.show(w, r, http.StatusOK, "upload", "Hand in a ticket", uploadPage{Most: size(b.Upload)})
}

// checkUpload checks a file and shows what it found. The file is kept without being
// a ticket: what nobody hands in within a day is taken out of the store again.
func (b *board) checkUpload(w http.ResponseWriter, r *http.Request) error {
	name, media, data, err := b.uploaded(w, r)
	if err != nil {
		return err
	}
	if len(data) == 0 {
		return b.show(w, r, http.StatusUnprocessableEntity, "upload", "Hand in a ticket", uploadPage{
			Most: size(b.Upload), Wrong: "No file was chosen, or it is empty. Choose a ticket, a message or a package.",
		})
	}
	p, err := b.look(r, name, media, data)
	if err != nil {
		return err
	}
	err = b.Store.Write(r.Context(), access.Of(r.Context()).Name, func(tx *works.Tx) (err error) {
		p.Blob, err = tx.Keep(data)
		return err
	})
	if err != nil {
		return err
	}
	return b.show(w, r, http.StatusOK, "checked", "Checked: "+p.Name, p)
}

// uploaded reads the file of a form.
func (b *board) uploaded(w http.ResponseWriter, r *http.Request) (name, media string, data []byte, err error) {
	r.Body = http.MaxBytesReader(w, r.Body, b.Upload)
	form, err := r.MultipartReader()
	if err != nil {
		return "", "", nil, wrong("The form has no file in it; choose one and send it again.")
	}
	for {
		part, err := form.NextPart()
		if err == io.EOF {
			return "", "", nil, nil
		}
		if err != nil {
			return "", "", nil, fmt.Errorf("read the uploaded file: %w", err)
		}
		if part.FormName() != "ticket" {
			continue
		}
		if data, err = io.ReadAll(part); err != nil {
			return "", "", nil, fmt.Errorf("read the uploaded file: %w", err)
		}
		return fileName(part.FileName()), mediaOf(part.FileName()), data, nil
	}
}

// fileName is the last part of the name that a browser gives.
func fileName(given string) string {
	name := path.Base(strings.ReplaceAll(given, `\`, "/"))
	if name == "." || name == "/" {
		return "ticket"
	}
	return name
}

// mediaOf is the media type of a file by its name, for browsers know none of them.
func mediaOf(name string) string {
	switch strings.ToLower(path.Ext(name)) {
	case ".jdf":
		return "application/vnd.cip4-jdf+xml"
	case ".jmf":
		return "application/vnd.cip4-jmf+xml"
	case ".xjdf":
		return "application/vnd.cip4-xjdf+xml"
	case ".xjmf":
		return "application/vnd.cip4-xjmf+xml"
	case ".zip":
		return "application/zip"
	}
	return "application/octet-stream"
}

// look checks a file, and says what tickets are in it.
func (b *board) look(r *http.Request, name, media string, data []byte) (*checkedPage, error) {
	p := &checkedPage{Name: name, Media: media, Size: size(int64(len(data)))}
	found, err := b.Desk.Report(r.Context(), name, media, data)
	if err != nil {
		if r.Context().Err() != nil {
			return nil, err
		}
		p.Refused = "It can not be read: " + err.Error() + "."
		return p, nil
	}
	var text bytes.Buffer
	if err := render.JSON(&text, found); err != nil {
		return nil, err
	}
	if p.Report, err = readReport(text.Bytes(), name, media, data); err != nil {
		return nil, err
	}
	items, _ := desk.Items(name, media, data) // what can not be read is among the findings
	for _, i := range items {
		if i.Document.Kind.Message() {
			continue
		}
		s := b.Desk.Describe(i.Document)
		s.File, s.Media = i.Name, media
		p.Tickets = append(p.Tickets, s)
	}
	switch n := found.Count(validate.Error); {
	case n > 0:
		p.Refused = "It would be refused with " + plural(n, "error") + ". Have them mended and hand it in again."
	case len(p.Tickets) == 0:
		p.Refused = "There is no ticket in it. Messages are sent to the message endpoint, not handed in here."
	}
	return p, nil
}

// acceptUpload makes a ticket of each that is in the file which was checked, because
// a person says so. It is looked at anew: nothing in the form is taken on trust but
// which file it is.
func (b *board) acceptUpload(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, mostToken)
	name, blob := fileName(r.PostFormValue("name")), r.PostFormValue("blob")
	data, err := works.Ask(r.Context(), b.Store, func(tx *works.Tx) ([]byte, error) { return contents(tx, blob) })
	if err != nil {
		return err
	}
	if data == nil {
		return wrong("The file is no longer here: a file that nobody hands in is kept for a day. Choose it again.")
	}
	p, err := b.look(r, name, mediaOf(name), data)
	if err != nil {
		return err
	}
	if p.Refused != "" {
		p.Blob = blob
		return b.show(w, r, http.StatusUnprocessableEntity, "checked", "Checked: "+p.Name, p)
	}
	who := access.Of(r.Context()).Name
	to := "/"
	err = b.Store.Write(r.Context(), who, func(tx *works.Tx) error {
		for _, s := range p.Tickets {
			s.Partner, s.Body = who, data
			s.Held = r.PostFormValue("held") == "yes"
			k, err := tx.Submit(s)
			if err != nil {
				return err
			}
			if err := tx.Log("ticket.submit", strconv.FormatInt(k.ID, 10), name); err != nil {
				return err
			}
			if len(p.Tickets) == 1 {
				to = fmt.Sprintf("/tickets/%d", k.ID)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	return done(w, r, to, "accepted")
}

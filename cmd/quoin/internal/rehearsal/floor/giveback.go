package floor

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/beevik/etree"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/queue"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/jdf"
	"quoin/jdf/message"
)

// giveBack returns the ticket of an entry with what was done. The lock is held.
func (d *device) giveBack(e *entry) {
	name, data, root, err := d.audited(e)
	if err != nil {
		d.floor.Log.Error("ticket can not be returned", "device", d.channel.Device, "job", e.JobID, "error", err)
		d.returned(e)
		return
	}
	item := &letter{
		id: "return-" + e.ID, job: e.JobID, url: e.back.url, media: compose.MediaType(e.kind), body: data,
		done: func() {
			d.lock.Lock()
			defer d.lock.Unlock()
			d.returned(e)
		},
	}
	switch {
	case e.back.jmf != "":
		item.url = e.back.jmf
		if item.body, item.media, err = d.returning(e, name, data, root); err != nil {
			d.floor.Log.Error("ticket can not be packed", "device", d.channel.Device, "job", e.JobID, "error", err)
			d.returned(e)
			return
		}
	case e.back.file != "":
		item.url, item.file = "", filepath.Join(filepath.Dir(e.back.file), name)
	}
	d.out.add(item)
}

// returned notes that the ticket is back, or was given up. The lock is held.
func (d *device) returned(e *entry) {
	if standing, code := e.Standing.After(queue.Return); code == message.Success {
		e.Standing = standing
	}
}

// audited is the ticket with the audits of all its acts.
func (d *device) audited(e *entry) (name string, data []byte, root string, err error) {
	doc := etree.NewDocument()
	if err := doc.ReadFromBytes(e.ticket); err != nil {
		return "", nil, "", fmt.Errorf("read ticket of job %q: %w", e.JobID, err)
	}
	for _, a := range e.acts {
		if err := report.Audit(doc, a); err != nil {
			return "", nil, "", err
		}
	}
	if data, err = doc.WriteToBytes(); err != nil {
		return "", nil, "", fmt.Errorf("write ticket of job %q: %w", e.JobID, err)
	}
	ext := ".xjdf"
	if e.kind == jdf.KindJDF {
		ext = ".jdf"
	}
	base := e.JobID + "-" + e.PartID + "-" + e.ID
	return strings.Map(plain, base) + ext, data, doc.Root().SelectAttrValue("ID", ""), nil
}

// plain keeps to what file names and package names can hold everywhere.
func plain(r rune) rune {
	switch {
	case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
		return r
	}
	return '_'
}

// returning is the message that brings a ticket back, with the ticket.
func (d *device) returning(e *entry, name string, ticket []byte, root string) (body []byte, media string, err error) {
	n := 0
	envelope := compose.New(compose.Options{
		Version: e.version, Sender: d.channel.Device, Clock: d.floor.Clock.Now,
		NewID: func() string {
			n++
			return fmt.Sprintf("r-%s-%d", strings.Map(plain, e.ID), n)
		},
	})
	file := compose.Attachment{ID: "ticket", Name: name, Type: compose.MediaType(e.kind), Data: ticket}
	r := compose.Return{Entry: e.Entry.ID, URL: envelope.URL(file)}
	if root != "" {
		if e.Standing.End == queue.Aborted {
			r.Aborted = []string{root}
		} else {
			r.Completed = []string{root}
		}
	}
	envelope.Return(r)
	return compose.Package(envelope, file)
}

// place writes a file under another name first.
func place(path string, data []byte) error {
	temp := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".tmp")
	if err := os.WriteFile(temp, data, 0o644); err != nil {
		return fmt.Errorf("write returned ticket: %w", err)
	}
	if err := os.Rename(temp, path); err != nil {
		return fmt.Errorf("write returned ticket: %w", err)
	}
	return nil
}

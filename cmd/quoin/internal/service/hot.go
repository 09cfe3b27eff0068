package service

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"path/filepath"

	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/folders"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/validate/render"
)

// hot says how a hot folder is watched.
func (s *Service) hot(folder string) folders.Options {
	return folders.Options{
		Folder: folder, Settle: s.Settle, Most: s.MostBody * 4, Log: s.Log, Clock: s.Clock,
		Take: func(ctx context.Context, f folders.File) (folders.Verdict, error) { return s.takeFile(ctx, folder, f) },
	}
}

// takeFile takes a file of a hot folder: a ticket or a package of them is submitted and
// checked; what a device has left there, a message or a returned ticket, is taken to
// the books.
func (s *Service) takeFile(ctx context.Context, folder string, f folders.File) (folders.Verdict, error) {
	partner := "folder:" + filepath.Base(folder)
	got, err := s.parts.Store.Receive(ctx, works.Incoming{
		Partner: partner, Source: works.ByFolder, Origin: f.Path, Name: f.Name, MessageID: f.ID, Body: f.Data,
	})
	if err != nil {
		return folders.Verdict{}, err
	}
	items, err := desk.Items(f.Name, "", f.Data)
	if err != nil || len(items) == 0 {
		return s.refuseFile(ctx, f, got.ID)
	}
	tickets, told, err := s.sort(ctx, items)
	if err != nil {
		return folders.Verdict{}, err
	}
	var ids []int64
	err = s.parts.Store.Write(ctx, partner, func(tx *works.Tx) error {
		ids = ids[:0]
		m, err := tx.Message(got.ID)
		if err != nil {
			return err
		}
		if told {
			if err := flow.Collect(tx, m); err != nil {
				return err
			}
		}
		for _, item := range tickets {
			n := s.parts.Desk.Describe(item.Document)
			n.Partner, n.Inbox, n.File = partner, got.ID, item.Name
			k, err := tx.Submit(n)
			if err != nil {
				return err
			}
			ids = append(ids, k.ID)
		}
		_, err = tx.Answer(got.ID, works.Answer{Status: http.StatusOK})
		return err
	})
	if err != nil {
		return folders.Verdict{}, err
	}
	refused := false
	for _, id := range ids {
		k, err := s.parts.Flow.CheckNow(ctx, id)
		if err != nil {
			return folders.Verdict{}, fmt.Errorf("check %q: %w", f.Name, err)
		}
		refused = refused || k.State == works.Refused
	}
	if refused {
		return s.refuseFile(ctx, f, got.ID)
	}
	s.metrics.folderFiles.WithLabelValues("taken").Inc()
	return folders.Verdict{}, nil
}

// sort parts what a file holds: tickets to submit, and whether anything in it is news
// of devices.
func (s *Service) sort(ctx context.Context, items []desk.Item) (tickets []desk.Item, told bool, err error) {
	submits, speaks := false, false
	for _, item := range items {
		if !item.Document.Kind.Message() {
			continue
		}
		for _, m := range message.Decode(item.Document).Messages {
			if m.Params.Submission != nil {
				submits = true
			} else {
				speaks = true
			}
		}
	}
	for _, item := range items {
		if item.Document.Kind.Message() {
			continue
		}
		back := speaks && !submits
		if !submits && !speaks {
			if back, err = s.comesBack(ctx, item); err != nil {
				return nil, false, err
			}
		}
		if back {
			told = true
		} else {
			tickets = append(tickets, item)
		}
	}
	return tickets, told || speaks, nil
}

// comesBack reports whether a ticket is one that a device returns: it tells what was
// done, of a step that was given out.
func (s *Service) comesBack(ctx context.Context, item desk.Item) (bool, error) {
	j := job.Decode(item.Document)
	for _, a := range j.Audits {
		if a.Kind != job.AuditPhase && a.Kind != job.AuditRun {
			continue
		}
		ref := works.StepRef{Job: j.ID.Value, Part: j.PartID.Value}
		if a.PartID.Given {
			ref.Part = a.PartID.Value
		}
		p, err := works.Ask(ctx, s.parts.Store, func(tx *works.Tx) (*works.Step, error) { return tx.FindStep(ref) })
		if errors.Is(err, works.ErrUnknown) {
			continue
		}
		return err == nil && p.State != works.StepWaiting, err
	}
	return false, nil
}

// refuseFile is the verdict on a file that is refused, with the report of its check.
func (s *Service) refuseFile(ctx context.Context, f folders.File, inbox int64) (folders.Verdict, error) {
	s.metrics.folderFiles.WithLabelValues("refused").Inc()
	v := folders.Verdict{Refused: true}
	r, err := s.parts.Desk.Report(ctx, f.Name, "", f.Data)
	if err != nil && ctx.Err() != nil {
		return v, err
	}
	if err != nil {
		v.Text = []byte(f.Name + " is refused: " + err.Error() + "\n")
		return v, s.answered(ctx, inbox)
	}
	var text, asJSON bytes.Buffer
	if err := errors.Join(render.Text(&text, r, render.Style{}), render.JSON(&asJSON, r)); err != nil {
		return v, err
	}
	v.Text, v.JSON = text.Bytes(), asJSON.Bytes()
	if len(r.Findings) == 0 {
		v.Text = []byte(f.Name + " is refused: it holds neither a ticket nor a message\n")
	}
	return v, s.answered(ctx, inbox)
}

// answered notes that a file needs no more looking after.
func (s *Service) answered(ctx context.Context, inbox int64) error {
	return s.parts.Store.Write(ctx, "", func(tx *works.Tx) error {
		_, err := tx.Answer(inbox, works.Answer{Status: http.StatusUnprocessableEntity})
		return err
	})
}

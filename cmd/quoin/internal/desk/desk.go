package desk

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/convert/emit"
	"quoin/jdf"
	"quoin/validate"
	"quoin/validate/packages"
	"quoin/validate/packages/pdf"
	"quoin/validate/plant"
	"quoin/validate/profile"
	"quoin/validate/rules"
	"quoin/validate/structure"
)

// Options are what a desk works with. Only the Plant is needed.
type Options struct {
	Plant    *plant.Plant
	Profiles []string // names of those built in, or files
	Most     int      // findings kept of a ticket; default 1000

	// Busy tells when machines are at work on other tickets than one. Nil is never.
	Busy func(ctx context.Context, ticket int64, devices []string) (map[string][]emit.Span, error)

	// Emitted is told of the order and of the device tickets that were written, before
	// they go out, and again when they are written again. Nil tells nobody.
	Emitted func(ctx context.Context, docs []*jdf.Document) error

	// Checked is told of every check of a ticket, and how long it took. Nil tells nobody.
	Checked func(c works.Checked, took time.Duration)

	Clock        func() time.Time // default time.Now
	AgentVersion string           // of the program, in the audits of device tickets
}

// Desk works on tickets. It is safe for concurrent use.
type Desk struct {
	opt     Options
	engine  *validate.Engine
	flights flights
	laying  sync.Mutex // one plan at a time is laid on the machines
}

// New makes a desk. The findings are mistakes of the profiles, with which there is
// no desk; the error says that one could not be read.
func New(opt Options) (*Desk, []validate.Finding, error) {
	if opt.Most == 0 {
		opt.Most = 1000
	}
	if opt.Clock == nil {
		opt.Clock = time.Now
	}
	stages := []validate.Stage{structureStage(), rules.Stage(rules.Options{}), plantStage(opt.Plant)}
	var wrong []validate.Finding
	for _, name := range opt.Profiles {
		p, findings, err := profile.Load(name)
		if err != nil {
			return nil, nil, fmt.Errorf("load profile %q: %w", name, err)
		}
		wrong = append(wrong, findings...)
		stages = append(stages, profileStage(name, p))
	}
	if slices.ContainsFunc(wrong, func(f validate.Finding) bool { return f.Severity == validate.Error }) {
		return nil, wrong, nil
	}
	return &Desk{opt: opt, engine: &validate.Engine{Stages: stages, Most: opt.Most}}, wrong, nil
}

// Plant is what the desk works for.
func (d *Desk) Plant() *plant.Plant { return d.opt.Plant }

// Engine is what tickets are checked with.
func (d *Desk) Engine() *validate.Engine { return d.engine }

func structureStage() validate.Stage {
	return validate.Stage{
		Name: "structure", Rules: structure.Rules(), Plain: true,
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			structure.Check(s.Doc, structure.Options{}, report)
			return nil
		},
	}
}

// plantStage asks whether the plant can make the job. Messages ask for nothing to
// be made.
func plantStage(p *plant.Plant) validate.Stage {
	return validate.Stage{
		Name: "plant", Rules: plant.Rules(),
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			if s.Doc.Kind == jdf.KindJDF || s.Doc.Kind == jdf.KindXJDF {
				plant.Check(s.Job, p, report)
			}
			return nil
		},
	}
}

func profileStage(name string, p *profile.Profile) validate.Stage {
	return validate.Stage{
		Name: "profile " + name, Rules: profile.Rules(),
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			p.Check(s.Doc, s.Job, report)
			return nil
		},
	}
}

// Report checks a ticket, a message or a package of them, under a name.
func (d *Desk) Report(ctx context.Context, name, media string, body []byte) (*validate.Report, error) {
	r, err := packages.CheckBytes(ctx, d.engine, name, Whole(media, body), packages.Options{PDF: pdf.Reader{}})
	if r == nil && err == nil {
		err = fmt.Errorf("check %q: nothing was checked", name)
	}
	return r, err
}

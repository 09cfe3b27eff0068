package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"quoin/validate"
	"quoin/validate/house"
	"quoin/validate/packages"
	"quoin/validate/profile"
	"quoin/validate/rules"
	"quoin/validate/xsd"
)

// choices are what a check of tickets can be told beside the flags that all
// commands share.
type choices struct {
	plantFile    string
	profiles     []string
	houseFile    string // "" looks upward from each ticket
	noHouse      bool
	instructions bool // take silences written in the tickets
	fragment     bool
	schemas      []string
	folders      []string
	include      []string
	baseline     string
	newBaseline  string
}

// desk is an engine with the settings of one house. Tickets of different
// folders may stand under different house rules, and so on different desks.
type desk struct {
	engine   *validate.Engine
	settings house.Settings
	files    []string
	piped    bool // the standard input is among them
}

// setter sets up desks; what they share is loaded once.
type setter struct {
	flags   *checking
	choices *choices
	io      streams
	schemas []*xsd.Schema
	known   []string // ids of all rules, once something names rules
	desks   map[string]*desk
	found   map[string]string // house file by folder
	order   []*desk
	report  *validate.Report // of what is wrong with the house's own files
}

func newSetter(flags *checking, c *choices, io streams) (*setter, error) {
	s := &setter{
		flags: flags, choices: c, io: io,
		desks: map[string]*desk{}, found: map[string]string{}, report: validate.NewReport(0),
	}
	for _, path := range c.schemas {
		schema, err := xsd.Compile(path)
		if err != nil {
			return nil, fmt.Errorf("--xsd: %w", err)
		}
		s.schemas = append(s.schemas, schema)
		for _, notice := range schema.Notices() {
			s.report.Add(notice)
		}
	}
	return s, nil
}

// take puts a file on the desk of its house.
func (s *setter) take(file string) error {
	path := s.choices.houseFile
	if path == "" && !s.choices.noHouse {
		path = s.find(file)
	}
	b := s.desks[path]
	if b == nil {
		var err error
		if b, err = s.set(path); err != nil {
			return err
		}
		s.desks[path] = b
		s.order = append(s.order, b)
	}
	if file == "-" {
		b.piped = true
		return nil
	}
	b.files = append(b.files, file)
	return nil
}

// inOrder lists the desks as they are worked at: the one that reads the standard
// input comes last, when nothing is left that may have to be done elsewhere.
func (s *setter) inOrder() []*desk {
	slices.SortStableFunc(s.order, func(a, b *desk) int {
		switch {
		case a.piped == b.piped:
			return 0
		case a.piped:
			return 1
		}
		return -1
	})
	return s.order
}

// find looks for the house rules over a file, once a folder.
func (s *setter) find(file string) string {
	dir := "."
	if file != "-" {
		dir = filepath.Dir(file)
	}
	path, known := s.found[dir]
	if !known {
		path, _ = house.Find(dir)
		s.found[dir] = path
	}
	return path
}

// set makes the desk for a house file, or for none.
func (s *setter) set(path string) (*desk, error) {
	if s.known == nil && (path != "" || s.choices.instructions) {
		for _, r := range allRules() {
			s.known = append(s.known, r.ID)
		}
	}
	b := &desk{settings: house.Settings{
		Known: s.known, Instructions: s.choices.instructions, Now: time.Now(),
	}}
	plantFile, limits, profiles := s.choices.plantFile, s.flags.limits, s.choices.profiles
	if path != "" {
		file, findings, err := house.Load(path, s.known)
		if err != nil {
			return nil, err
		}
		for _, f := range findings {
			s.report.Add(f)
		}
		if s.report.Worst() == validate.Error {
			return nil, s.broken("the house rules", path)
		}
		b.settings.File = file
		if plantFile == "" {
			plantFile = file.Plant
		}
		profiles = append(profiles[:len(profiles):len(profiles)], file.Profiles...)
		if file.Limits.MaxBytes > 0 {
			limits.MaxBytes = file.Limits.MaxBytes
		}
		if file.Limits.MaxDepth > 0 {
			limits.MaxDepth = file.Limits.MaxDepth
		}
	}
	stages := []validate.Stage{schemaStage(s.schemas), rules.Stage(rules.Options{Fragment: s.choices.fragment})}
	if plantFile == "" && slices.Equal(s.flags.only, []string{validate.GroupPlant}) {
		return nil, fmt.Errorf("--only %s checks nothing without a plant; name its file with --plant", validate.GroupPlant)
	}
	if plantFile != "" {
		works, err := loadPlant(plantFile, s.flags.format, s.io.out)
		if err != nil {
			return nil, err
		}
		stages = append(stages, plantStage(works))
	}
	for _, name := range profiles {
		stage, err := s.profile(name)
		if err != nil {
			return nil, err
		}
		stages = append(stages, stage)
	}
	if s.choices.instructions {
		stages = append(stages, house.Stage(s.known))
	}
	b.engine = &validate.Engine{
		Stages: stages, Limits: limits, Most: s.flags.most, Judge: b.settings.Judge,
		Filter: validate.Filter{Only: s.flags.only, Ignore: s.flags.ignore},
	}
	return b, nil
}

// profile loads a conformance profile, one of those built in or a file.
func (s *setter) profile(name string) (validate.Stage, error) {
	p, findings, err := profile.Load(name)
	if err != nil {
		return validate.Stage{}, fmt.Errorf("--profile: %w", err)
	}
	for _, f := range findings {
		s.report.Add(f)
	}
	if s.report.Worst() == validate.Error {
		return validate.Stage{}, s.broken("the profile", name)
	}
	return validate.Stage{
		Name: "profile " + name, Rules: profile.Rules(),
		Check: func(t *validate.Subject, report func(validate.Finding)) error {
			p.Check(t.Doc, t.Job, report)
			return nil
		},
	}, nil
}

// broken writes what is wrong with a file of the house; the tickets are not
// checked by rules that nobody can read.
func (s *setter) broken(what, path string) error {
	s.report.Finish()
	s.report.Files = 1
	c := checking{format: "text", failOn: "error"}
	if err := c.write(s.io.out, s.report); err != statusError(statusFindings) {
		return err
	}
	return fmt.Errorf("%s %q can not be used before the errors are mended", what, path)
}

// run checks the files of the desk, and the standard input after them.
func (b *desk) run(ctx context.Context, c *choices, io streams, done func(int)) (*validate.Report, error) {
	opt := packages.Options{Folders: c.folders, PDF: pdfReader()}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	report, failed := validate.Gather(ctx, b.files, func(path string) (*validate.Report, error) {
		r, err := packages.Check(ctx, b.engine, path, opt)
		if errors.Is(err, packages.ErrNoReader) {
			stop()
		}
		return r, err
	}, done)
	if errors.Is(failed, packages.ErrNoReader) {
		return nil, beyond("looking into PDFs")
	}
	if b.piped {
		r, err := b.engine.Stream("<stdin>", io.in)
		if r != nil {
			report.Merge(r)
		}
		failed = errors.Join(failed, err)
	}
	house.Apply(report, b.settings)
	return report, failed
}

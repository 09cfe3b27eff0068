//go:build !checker

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/rehearsal/floor"
	"quoin/cmd/quoin/internal/rehearsal/month"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

// rehearsing is the flags of the command.
type rehearsing struct {
	plantFile, folder string
	seed              uint64

	// offline
	from, form string
	jobs, days int

	// online
	listen, to, faults, start string
	speed                     float64
	hot                       []string
	unprotected, quiet        bool
}

func newRehearse(io streams) *cobra.Command {
	var r rehearsing
	cmd := &cobra.Command{
		Use:   "rehearse --plant PLANT {--folder OUT | --listen ADDRESS --to URL}",
		Short: "Play the machines of a plant: a month of invented jobs in files, or machines that answer messages",
		Long: "Rehearse plays the machines of the plant file. Times and waste are drawn with a seed around the planned\n" +
			"ones, and the truth of what happened is kept beside what the machines say.\n\n" +
			"With --folder it makes up orders, plans them, plays them and writes what the machines would report.\n" +
			"With --listen each machine takes tickets and messages over HTTP, sends signals, and returns its tickets\n" +
			"with audits; --folder then gets the truth when it stops. Nothing but the host of --to is ever called.\n" +
			"Faults: late, duplicate, out-of-order, dropped, malformed, counters or all, each with a share if wanted.\n\n" +
			"Rehearsed machines are not real ones: their figures are invented, and prove nothing about yours.",
		Example: "  quoin rehearse --plant works.yaml --folder month --jobs 140 --from 2026-03-02 --days 28\n" +
			"  quoin rehearse --plant works.yaml --listen localhost:7070 --to http://localhost:8080/jmf --speed 600 \\\n" +
			"      --faults late,duplicate=0.2",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return r.run(cmd.Context(), io) },
	}
	r.flags(cmd)
	return cmd
}

func (r *rehearsing) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&r.plantFile, "plant", "", "plant file")
	f.StringVar(&r.folder, "folder", "", "new folder for orders, plans, what machines return, and the truth")
	f.Uint64Var(&r.seed, "seed", 1, "seed of all that is drawn")
	f.IntVar(&r.jobs, "jobs", 140, "how many orders are made up")
	f.StringVar(&r.from, "from", "2026-03-02", "the first day, as in 2026-03-02")
	f.IntVar(&r.days, "days", 28, "the days in which orders come in and are made")
	f.StringVar(&r.form, "form", "mixed", "what the orders are written as: xjdf, jdf or mixed")
	f.StringVar(&r.listen, "listen", "", "address at which the machines answer, such as localhost:7070")
	f.StringVar(&r.to, "to", "", "URL for what nobody subscribed to; its host is the only one that is called")
	f.Float64Var(&r.speed, "speed", 600, "how many times as fast as on the clock")
	f.StringVar(&r.start, "start", "",
		"time in the works at the start, as in 2026-03-02T06:00:00+01:00; the present when left out")
	f.StringVar(&r.faults, "faults", "", "how machines misbehave, such as late,duplicate=0.2")
	f.StringSliceVar(&r.hot, "hot", nil, "hot folder of a machine, as in folder-1=FOLDER, with in and out below")
	f.BoolVar(&r.unprotected, "unprotected", false, "listen beyond this computer, though anybody can then give work")
	f.BoolVar(&r.quiet, "quiet", false, "do not log steps and faults")
}

func (r *rehearsing) run(ctx context.Context, io streams) error {
	switch {
	case r.plantFile == "":
		return errNoPlant
	case r.listen != "" && r.to == "":
		return errors.New("--to is missing; give the URL that machines report to, such as http://localhost:8080/jmf")
	case r.listen == "" && r.to != "":
		return errors.New("--listen is missing; give the address at which the machines answer, such as localhost:7070")
	case r.listen == "" && r.folder == "":
		return errors.New("--folder is missing; name a new folder to write to, or --listen and --to to play online")
	}
	works, err := loadPlant(r.plantFile, "text", io.out)
	if err != nil {
		return err
	}
	if r.listen != "" {
		return r.online(ctx, works, io)
	}
	return r.month(works, io)
}

// month rehearses some weeks into a folder.
func (r *rehearsing) month(works *plant.Plant, io streams) error {
	from, err := time.ParseInLocation(time.DateOnly, r.from, works.Zone)
	if err != nil {
		return fmt.Errorf("--from is %q; want a day such as 2026-03-02", r.from)
	}
	m, err := month.Make(month.Options{
		Plant: works, Jobs: r.jobs, Seed: r.seed, From: from, Days: r.days, Form: r.form,
	})
	if err != nil {
		return err
	}
	err = m.Write(r.folder, func(dir string, pl *plan.Plan, asked *job.Job, clock func() time.Time) error {
		return writePlan(dir, pl, asked, emit.XJDF, clock)
	})
	if err != nil {
		return err
	}
	late := 0
	for _, o := range m.Truth.Orders {
		if o.Late {
			late++
		}
	}
	fmt.Fprintf(io.out, "%d orders in %s, made in %d steps by %s, %d of them late; the truth is in %s\n",
		len(m.Jobs), r.folder, len(m.Truth.Steps), m.Truth.To.Format(time.DateOnly), late, month.TruthIn)
	return nil
}

// online plays the machines until the context ends.
func (r *rehearsing) online(ctx context.Context, works *plant.Plant, io streams) error {
	opt, err := r.options(works, io)
	if err != nil {
		return err
	}
	listener, err := r.listener(ctx)
	if err != nil {
		return err
	}
	opt.Address = "http://" + listener.Addr().String()
	machines, err := floor.New(*opt)
	if err != nil {
		return errors.Join(err, listener.Close())
	}
	server := &http.Server{
		Handler: machines.Handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute,
		WriteTimeout: time.Minute, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	served := make(chan error, 1)
	go func() {
		served <- server.Serve(listener)
		stop()
	}()
	fmt.Fprintf(io.out, "machines of %s, rehearsed and not real, answer at %s/device/ID; GET %s lists them\n",
		works.Name, opt.Address, opt.Address)
	err = machines.Run(ctx)
	closing, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	err = errors.Join(err, server.Shutdown(closing))
	if s := <-served; !errors.Is(s, http.ErrServerClosed) {
		err = errors.Join(err, fmt.Errorf("answer messages: %w", s))
	}
	return errors.Join(err, r.keepTruth(machines))
}

func (r *rehearsing) options(works *plant.Plant, io streams) (*floor.Options, error) {
	opt := &floor.Options{Plant: works, Seed: r.seed, Folders: map[string]string{}}
	var err error
	if opt.To, err = url.Parse(r.to); err != nil {
		return nil, fmt.Errorf("--to is %q; want a URL such as http://localhost:8080/jmf", r.to)
	}
	start := time.Now()
	if r.start != "" {
		if start, err = time.Parse(time.RFC3339, r.start); err != nil {
			return nil, fmt.Errorf("--start is %q; want a time such as 2026-03-02T06:00:00+01:00", r.start)
		}
	}
	opt.Clock = floor.NewClock(start, r.speed)
	if opt.Faults, err = floor.ParseFaults(r.faults); err != nil {
		return nil, fmt.Errorf("--faults: %w", err)
	}
	for _, h := range r.hot {
		device, dir, ok := strings.Cut(h, "=")
		if !ok || dir == "" {
			return nil, fmt.Errorf("--hot is %q; want a machine and its folder, as in folder-1=FOLDER", h)
		}
		opt.Folders[device] = dir
	}
	if !r.quiet {
		opt.Log = slog.New(slog.NewTextHandler(io.err, nil))
	}
	return opt, nil
}

// listener opens the address. Machines have no locks on their doors, so that
// they are reached from this computer alone unless that is asked for.
func (r *rehearsing) listener(ctx context.Context) (net.Listener, error) {
	host, _, err := net.SplitHostPort(r.listen)
	if err != nil {
		return nil, fmt.Errorf("--listen is %q; want an address such as localhost:7070", r.listen)
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) && !r.unprotected {
		return nil, fmt.Errorf("--listen is %q, which others can reach, and rehearsed machines ask nobody who they are; "+
			"listen on localhost, or add --unprotected", r.listen)
	}
	l, err := (&net.ListenConfig{}).Listen(ctx, "tcp", r.listen)
	if err != nil {
		return nil, fmt.Errorf("listen at %q: %w", r.listen, err)
	}
	return l, nil
}

// keepTruth writes what happened, where a folder was named for it.
func (r *rehearsing) keepTruth(machines *floor.Floor) error {
	if r.folder == "" {
		return nil
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetIndent("", " ")
	if err := enc.Encode(machines.Truth()); err != nil {
		return fmt.Errorf("write truth: %w", err)
	}
	if err := os.MkdirAll(r.folder, 0o755); err != nil {
		return fmt.Errorf("make folder for the truth: %w", err)
	}
	return replaceFile(filepath.Join(r.folder, month.TruthIn), text.Bytes())
}

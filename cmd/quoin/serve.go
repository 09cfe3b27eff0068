//go:build !checker

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/service"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate"
	"quoin/validate/plant"
)

// defaultStore is the store of the service where none is named.
const defaultStore = "quoin.db"

// serving is the flags of the command.
type serving struct {
	plantFile, store, listen, partners, public string
	tls                                        access.TLSFiles
	plainHTTP, autoPlan, ahead, rehearsed      bool
	profiles, hot, devices, sendTo             []string
	retention, logs, level                     string
	wait                                       time.Duration
	most, workers                              int
	mostBody                                   int64
}

func newServe(io streams) *cobra.Command {
	var s serving
	cmd := &cobra.Command{
		Use:   "serve --plant PLANT",
		Short: "Run the service: take tickets and messages, plan, deliver to machines, collect what they report",
		Long: "Serve answers JMF and XJMF at /jmf, takes tickets from hot folders, checks and plans them, gives the\n" +
			"steps to the machines, and takes what they report into the books. Everything is stored before it is\n" +
			"acknowledged, in one SQLite file, or in a PostgreSQL database that several instances may share.\n\n" +
			"It listens to this machine alone unless --listen says otherwise; then it needs --partners, and TLS or\n" +
			"--plain-http. Nothing is sent but to the machines of the plant file and to the hosts of the file of\n" +
			"partners and of --send-to. The address of a store and the tokens of partners may be given by their\n" +
			"place, as env:NAME or file:PATH.",
		Example: "  quoin serve --plant works.yaml\n" +
			"  quoin serve --plant works.yaml --store env:QUOIN_STORE --listen :8443 --partners partners.yaml \\\n" +
			"      --tls-cert cert.pem --tls-key key.pem --auto-plan --hot /srv/tickets",
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return s.run(cmd.Context(), io) },
	}
	s.flags(cmd)
	return cmd
}

func (s *serving) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.StringVar(&s.plantFile, "plant", "", "plant file")
	f.StringVar(&s.store, "store", defaultStore,
		"SQLite file, or postgres:// address, or where that is: env:NAME or file:PATH")
	f.StringVar(&s.listen, "listen", "127.0.0.1:8080", "address to listen on; port 0 takes one that is free")
	f.StringVar(&s.public, "public", "", "URL at which machines and partners reach the service, when that is another")
	f.StringVar(&s.partners, "partners", "", "file of partners with their roles and tokens, and of the hosts to send to")
	f.StringVar(&s.tls.Certificate, "tls-cert", "", "certificate of the service, PEM; read again when it changes")
	f.StringVar(&s.tls.Key, "tls-key", "", "key of the certificate, PEM")
	f.StringVar(&s.tls.Clients, "client-ca", "", "authorities of client certificates that partners may show, PEM")
	f.BoolVar(&s.plainHTTP, "plain-http", false, "listen beyond this machine without TLS, as behind a proxy that does it")
	f.BoolVar(&s.autoPlan, "auto-plan", false, "plan and release what was accepted without asking a person")
	f.BoolVar(&s.ahead, "ahead", false, "give all steps of a job to their machines at once, and not each in its turn")
	f.BoolVar(&s.rehearsed, "rehearsed", false,
		"the machines are those of quoin rehearse at another speed: their clocks are left as they are")
	f.StringSliceVar(&s.profiles, "profile", nil, "conformance profile that tickets have to keep; may be given again")
	f.StringSliceVar(&s.hot, "hot", nil, "hot folder to watch, with in, work, done and refused in it; may be given again")
	f.StringArrayVar(&s.devices, "device", nil,
		"how a machine is reached, in place of the plant file: ID=DIALECT:ADDRESS, as in press-1=jmf:http://10.0.0.7/jmf")
	f.StringSliceVar(&s.sendTo, "send-to", nil, "host, address or network that may be sent to beside those of --partners")
	f.StringVar(&s.retention, "retention", "contents=400d,events=30d",
		"how long what is over is kept: contents, history, events and log, as in contents=400d,log=3650d; else for ever")
	f.DurationVar(&s.wait, "wait", 3*time.Second, "how long the sender of a ticket waits for its check")
	f.IntVar(&s.most, "most", 0, "entries that the queue takes; 0 for no limit")
	f.IntVar(&s.workers, "workers", 4, "how many things are worked on at once")
	f.Int64Var(&s.mostBody, "most-bytes", 64<<20, "bytes of a request")
	f.StringVar(&s.logs, "log", "text", "log on standard error as text or json")
	f.StringVar(&s.level, "log-level", "info", "debug, info, warn or error")
}

func (s *serving) run(ctx context.Context, io streams) error {
	c, err := s.config(io)
	if err != nil {
		return err
	}
	service, err := service.New(ctx, c)
	if err != nil {
		return s.explain(err, io.out)
	}
	return service.Run(ctx)
}

// explain writes the mistakes of files that can not be used.
func (s *serving) explain(err error, out io.Writer) error {
	var wrong *service.Wrong
	if !errors.As(err, &wrong) {
		return err
	}
	return writeMistakes(out, wrong.What, wrong.Findings)
}

// writeMistakes writes what is wrong with files of the service.
func writeMistakes(out io.Writer, what string, findings []validate.Finding) error {
	report := validate.NewReport(0)
	report.Files = 1
	for _, f := range findings {
		report.Add(f)
	}
	report.Finish()
	c := checking{format: "text", failOn: "error"}
	if err := c.write(out, report); err != statusError(statusFindings) {
		return err
	}
	return fmt.Errorf("the %s can not be used before the errors are mended", what)
}

func (s *serving) config(io streams) (service.Config, error) {
	c := service.Config{
		Listen: s.listen, TLS: s.tls, PlainHTTP: s.plainHTTP, Public: s.public, PartnersFile: s.partners,
		Profiles: s.profiles,
		AutoPlan: s.autoPlan, Ahead: s.ahead, Rehearsed: s.rehearsed, Hot: s.hot, Wait: s.wait, Most: s.most,
		Workers: s.workers, MostBody: s.mostBody,
		Additions: s.additions(), Version: buildVersion(),
	}
	if s.plantFile == "" {
		return c, errNoPlant
	}
	if (s.tls.Certificate == "") != (s.tls.Key == "") {
		return c, errors.New("--tls-cert and --tls-key go together; give both")
	}
	var err error
	if c.Log, err = s.logger(io.err); err != nil {
		return c, err
	}
	if c.Store, err = storeAddress(s.store); err != nil {
		return c, err
	}
	if c.Retention, err = parseRetention(s.retention); err != nil {
		return c, fmt.Errorf("--retention: %w", err)
	}
	for _, text := range s.sendTo {
		h, err := access.ParseHost(text)
		if err != nil {
			return c, fmt.Errorf("--send-to: %w; want a host name, an address or a network such as 10.20.0.0/16", err)
		}
		c.Hosts = append(c.Hosts, h)
	}
	if s.partners != "" {
		settings, findings, err := access.Load(s.partners)
		if err != nil {
			return c, err
		}
		if settings == nil {
			return c, writeMistakes(io.out, "file of partners", findings)
		}
		c.Partners = settings
	}
	if c.Plant, err = loadPlant(s.plantFile, "text", io.out); err != nil {
		return c, err
	}
	return c, reach(c.Plant, s.devices)
}

// logger writes the log on standard error.
func (s *serving) logger(w io.Writer) (*slog.Logger, error) {
	var level slog.Level
	if err := level.UnmarshalText([]byte(s.level)); err != nil {
		return nil, fmt.Errorf("--log-level is %q; want debug, info, warn or error", s.level)
	}
	opt := &slog.HandlerOptions{Level: level}
	switch s.logs {
	case "text":
		return slog.New(slog.NewTextHandler(w, opt)), nil
	case "json":
		return slog.New(slog.NewJSONHandler(w, opt)), nil
	}
	return nil, fmt.Errorf("--log is %q; want text or json", s.logs)
}

// storeAddress is the address of a store, which may be kept where passwords are.
func storeAddress(at string) (string, error) {
	if !strings.HasPrefix(at, "env:") && !strings.HasPrefix(at, "file:") {
		return at, nil
	}
	address, err := access.Secret(at, ".")
	if err != nil {
		return "", fmt.Errorf("--store: read the address from %s: %w", at, err)
	}
	return address, nil
}

// parseRetention reads how long things are kept, in days.
func parseRetention(text string) (r works.Retention, err error) {
	into := map[string]*time.Duration{"contents": &r.Contents, "history": &r.History, "events": &r.Events, "log": &r.Log}
	for part := range strings.SplitSeq(text, ",") {
		if strings.TrimSpace(part) == "" {
			continue
		}
		name, value, _ := strings.Cut(strings.TrimSpace(part), "=")
		days, err := strconv.ParseFloat(strings.TrimSuffix(value, "d"), 64)
		if into[name] == nil || err != nil || !strings.HasSuffix(value, "d") || !(days > 0) || days > 36500 {
			return r, fmt.Errorf("%q is not known; want contents, history, events or log and days, as in contents=400d", part)
		}
		*into[name] = time.Duration(days * 24 * float64(time.Hour))
	}
	return r, nil
}

// reach sets how machines are reached, before the plant is used.
func reach(p *plant.Plant, devices []string) error {
	for _, text := range devices {
		id, where, _ := strings.Cut(text, "=")
		dialect, address, ok := strings.Cut(where, ":")
		if !ok || address == "" || dialect != string(plant.JMF) && dialect != string(plant.XJMF) {
			return fmt.Errorf("--device is %q; want ID=DIALECT:ADDRESS with dialect jmf or xjmf, and a URL or a hot folder",
				text)
		}
		var ids []string
		found := false
		for _, m := range p.Machines() {
			ids = append(ids, m.ID)
			if m.ID != id {
				continue
			}
			found = true
			m.Connection = plant.Connection{Dialect: plant.Dialect(dialect)}
			if strings.HasPrefix(address, "http://") || strings.HasPrefix(address, "https://") {
				m.Connection.URL = address
			} else {
				m.Connection.Folder = filepath.Clean(address)
			}
		}
		if !found {
			return fmt.Errorf("--device names the machine %q, which the plant has not; want %s%s", id, validate.Choices(ids),
				validate.Suggest(id, ids))
		}
	}
	return nil
}

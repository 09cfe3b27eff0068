package service

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"strings"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/database"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/desk"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/office"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf"
	"quoin/validate"
)

// Service is the running service.
type Service struct {
	Config
	parts    *Parts
	db       *database.DB
	office   *office.Office
	sender   *deliver.Sender
	endpoint *dialog.Endpoint
	metrics  *metrics
	health   health
	listener net.Listener
	server   *http.Server
	ending   chan struct{} // closed by the server's Shutdown, which Run calls once
}

// Wrong is mistakes of files that the service was told to work by.
type Wrong struct {
	What     string // such as profiles
	Findings []validate.Finding
}

// Error names the files and the first mistake.
func (w *Wrong) Error() string {
	return fmt.Sprintf("the %s can not be used before the errors are mended: %s", w.What, w.Findings[0].Message())
}

// New opens the store and the listener, and wires the parts; nothing is done before
// Run. The error says what could not be opened, or is a *Wrong.
func New(ctx context.Context, c Config) (*Service, error) {
	c.usual()
	secured := c.TLS.Certificate != ""
	if err := access.CheckListen(c.Listen, c.Partners, secured, c.PlainHTTP); err != nil {
		return nil, err
	}
	s := &Service{Config: c}
	var identity *tls.Config
	if secured {
		var err error
		if identity, err = c.TLS.Config(); err != nil {
			return nil, err
		}
	}
	if err := s.open(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.listen(ctx, identity); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.wire(); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// open opens the store and makes the parts that stand on it.
func (s *Service) open(ctx context.Context) error {
	db, store, books, err := OpenStore(ctx, s.Store, s.Plant, s.Clock)
	if err != nil {
		return err
	}
	s.db = db
	open := s.Partners == nil || len(s.Partners.Partners) == 0
	s.ending = make(chan struct{})
	s.parts = &Parts{
		Ending: s.ending,
		Store:  store, Ledger: books, Plant: s.Plant, Clock: s.Clock, Log: s.Log, Version: s.Version,
		Registry: prometheus.NewRegistry(), Guard: access.NewGuard(s.Partners, open, s.Clock),
	}
	s.parts.Hosts = func() []access.Host {
		return append(append([]access.Host{}, s.parts.Guard.Hosts()...), s.Config.Hosts...)
	}
	s.metrics = newMetrics(s.parts.Registry, store)
	d, wrong, err := desk.New(desk.Options{
		Plant: s.Plant, Profiles: s.Profiles, Clock: s.Clock, AgentVersion: s.Version, Busy: s.busy,
		Checked: s.metrics.checked,
		Emitted: func(ctx context.Context, docs []*jdf.Document) error { return s.books().Import(ctx, docs, time.Time{}) },
	})
	if err != nil {
		return err
	}
	if d == nil {
		return &Wrong{"profiles", wrong}
	}
	s.parts.Desk = d
	return nil
}

func (s *Service) books() office.Books {
	return office.Books{Ledger: s.parts.Ledger, Untimed: s.Rehearsed, Log: s.Log}
}

// listen opens the listener, so that the address is known before anything is sent.
func (s *Service) listen(ctx context.Context, identity *tls.Config) error {
	var config net.ListenConfig
	l, err := config.Listen(ctx, "tcp", s.Listen)
	if err != nil {
		return fmt.Errorf("listen on %s: %w; is another service there already? choose with --listen", s.Listen, err)
	}
	scheme := "http"
	if identity != nil {
		l, scheme = tls.NewListener(l, identity), "https"
	}
	s.listener = l
	s.parts.Public = strings.TrimRight(s.Public, "/")
	if s.parts.Public == "" {
		s.parts.Public = scheme + "://" + reachable(l.Addr())
	}
	return nil
}

// reachable is the address of a listener as others can call it: where it listens on
// all addresses, the name of the machine.
func reachable(a net.Addr) string {
	host, port, err := net.SplitHostPort(a.String())
	if err != nil {
		return a.String()
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		if name, err := os.Hostname(); err == nil {
			host = name
		}
	}
	return net.JoinHostPort(host, port)
}

// wire makes the flow, the office and the endpoint.
func (s *Service) wire() error {
	hosts := &deliver.Hosts{Common: s.parts.Hosts, Devices: s.deviceURLs, Partner: func(name string) []string {
		if p := s.parts.Guard.Partner(name); p != nil {
			return p.Return
		}
		return nil
	}}
	composer := &deliver.Composer{Sender: s.Sender, AgentVersion: s.Version, Public: s.parts.Public, Repeat: s.Repeat}
	s.sender = &deliver.Sender{Store: s.parts.Store, Hosts: hosts, Agent: "Quoin/" + s.Version, Result: s.delivered}
	s.parts.Flow = &flow.Flow{Store: s.parts.Store, AutoPlan: s.AutoPlan, Ahead: s.Ahead, Retention: s.Retention}
	s.parts.Flow.Parts = flow.Parts{
		Checker: s.parts.Desk, Planner: s.parts.Desk, Emitter: s.parts.Desk, Composer: composer, Sender: s.sender,
		Reader: office.Reader{Zone: s.Plant.Zone}, Ledger: s.books(),
	}
	s.office = office.New(office.Options{
		Store: s.parts.Store, Desk: s.parts.Desk, Flow: s.parts.Flow, Plant: s.Plant, Ledger: s.parts.Ledger,
		Composer: composer,
		Hosts:    hosts, Partner: s.parts.Guard.Partner, Wait: s.Wait, Most: s.Most, Log: s.Log,
	})
	s.endpoint = &dialog.Endpoint{
		Works: s.office, Sender: s.Sender, AgentVersion: s.Version, Schemes: []string{strings.Split(s.parts.Public, ":")[0]},
		Clock: s.Clock,
	}
	s.server = &http.Server{
		Handler: s.handler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 2 * time.Minute,
		WriteTimeout: 5 * time.Minute,
		IdleTimeout:  2 * time.Minute, MaxHeaderBytes: 64 << 10, ErrorLog: serverLog(s.Log),
	}
	s.server.RegisterOnShutdown(func() { close(s.ending) })
	return nil
}

// Parts are what the service is made of.
func (s *Service) Parts() *Parts { return s.parts }

// Address is where the service listens.
func (s *Service) Address() string { return s.listener.Addr().String() }

// Close closes the listener and the store of a service that is not run, or whose Run
// has returned.
func (s *Service) Close() error {
	var err error
	if s.listener != nil {
		if err = s.listener.Close(); errors.Is(err, net.ErrClosed) {
			err = nil
		}
	}
	if s.db != nil {
		err = errors.Join(err, s.db.Close())
	}
	return err
}

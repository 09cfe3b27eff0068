package floor

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"time"

	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/cmd/quoin/internal/rehearsal/report"
	"quoin/validate/plant"
)

// Options say how machines are rehearsed.
type Options struct {
	Plant *plant.Plant
	Seed  uint64
	Clock Clock

	// To is where machines send what nobody subscribed to, and its host is the
	// only one that is ever called. It must be an absolute http or https URL.
	To *url.URL

	// Address is where the machines are reached, such as http://localhost:7070,
	// without a path.
	Address string

	// Faults are how often machines misbehave. Default never.
	Faults map[Fault]float64

	// Folders are the hot folders of machines, by DeviceID: a machine takes
	// tickets from the folder "in" below, and returns them to "out". Default none.
	Folders map[string]string

	// Log is told of each step and each fault. Default nothing.
	Log *slog.Logger
}

// Floor is all the machines.
type Floor struct {
	Options
	devices []*device
	client  *http.Client

	lock   sync.Mutex
	faults []rehearsal.Fault
}

// New makes the machines. They take tickets at once, and work when Run is called.
func New(opt Options) (*Floor, error) {
	if opt.To == nil || opt.To.Hostname() == "" || opt.To.Scheme != "http" && opt.To.Scheme != "https" {
		return nil, fmt.Errorf("address to send to is %q; want a URL such as http://localhost:8080/jmf", opt.To)
	}
	if opt.Clock.speed <= 0 {
		return nil, fmt.Errorf("speed is %g; want more than 0", opt.Clock.speed)
	}
	if opt.Log == nil {
		opt.Log = slog.New(slog.DiscardHandler)
	}
	f := &Floor{Options: opt, client: &http.Client{
		Timeout: 30 * time.Second,
		// A proxy would be another host, and so would be where a redirect leads.
		Transport:     &http.Transport{Proxy: nil, MaxIdleConnsPerHost: 8, IdleConnTimeout: time.Minute},
		CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse },
	}}
	channels := report.Channels(opt.Plant)
	for _, id := range report.Devices(opt.Plant) {
		f.devices = append(f.devices, newDevice(f, channels[id]))
	}
	for id := range opt.Folders {
		if f.device(id) == nil {
			return nil, fmt.Errorf("hot folder is for %q, which the plant has not; it has %s", id,
				strings.Join(report.Devices(opt.Plant), ", "))
		}
	}
	return f, nil
}

func (f *Floor) device(id string) *device {
	for _, d := range f.devices {
		if d.channel.Device == id {
			return d
		}
	}
	return nil
}

// Run works until the context ends. The error is of hot folders that can not be
// made or read.
func (f *Floor) Run(ctx context.Context) error {
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	var wait sync.WaitGroup
	problems := make(chan error, len(f.devices))
	for _, d := range f.devices {
		wait.Go(func() { d.work(ctx) })
		wait.Go(func() { d.out.run(ctx) })
		if dir := f.Folders[d.channel.Device]; dir != "" {
			wait.Go(func() {
				if err := d.watch(ctx, dir); err != nil {
					problems <- err
					stop()
				}
			})
		}
	}
	wait.Wait()
	f.client.CloseIdleConnections()
	close(problems)
	var all []error
	for err := range problems {
		all = append(all, err)
	}
	return errors.Join(all...)
}

// allowed reports whether a URL is at the one host that is called.
func (f *Floor) allowed(address string) bool {
	u, err := url.Parse(address)
	return err == nil && (u.Scheme == "http" || u.Scheme == "https") && strings.EqualFold(u.Hostname(), f.To.Hostname())
}

func (f *Floor) fault(kind Fault, device, job, what string) {
	f.lock.Lock()
	defer f.lock.Unlock()
	f.faults = append(f.faults, rehearsal.Fault{Kind: string(kind), Device: device, Job: job, What: what})
	f.Log.Info("fault", "kind", string(kind), "device", device, "job", job, "what", what)
}

// Truth is what has happened so far; steps that still run are told up to now.
func (f *Floor) Truth() *rehearsal.Truth {
	t := &rehearsal.Truth{
		Plant: f.Plant.Name, Seed: f.Seed, From: f.Clock.base, Habits: rehearsal.HabitsOf(f.Plant),
		Orders: []rehearsal.Order{}, Idle: []rehearsal.Idle{}, Steps: []*rehearsal.Act{},
	}
	for _, d := range f.devices {
		t.Steps = append(t.Steps, d.truth()...)
	}
	f.lock.Lock()
	t.Faults = append([]rehearsal.Fault{}, f.faults...)
	f.lock.Unlock()
	t.Settle()
	return t
}

// Pending is how many entries are in queues and not done, and how many messages
// have not been delivered.
func (f *Floor) Pending() (entries, messages int) {
	for _, d := range f.devices {
		entries += d.open()
		messages += d.out.pending()
	}
	return entries, messages
}

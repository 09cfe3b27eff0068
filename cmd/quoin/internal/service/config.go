package service

import (
	"log/slog"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// Config says what a service is made of. Plant and Store are needed.
type Config struct {
	Plant *plant.Plant
	Store string // SQLite file, or address of a PostgreSQL database

	Listen    string // default 127.0.0.1:8080; port 0 takes any that is free
	TLS       access.TLSFiles
	PlainHTTP bool   // tokens may go over the wire in the clear, as where a proxy does TLS
	Public    string // URL at which others reach the service; default that of the listener

	Partners     *access.Settings // nil for nobody, who then is let in only from this machine
	PartnersFile string           // is read again when it changes; "" for none
	Hosts        []access.Host    // that anything may be sent to, beside those of Partners

	Profiles  []string // that tickets have to keep, beside the plant
	AutoPlan  bool     // plan and release what was accepted, without a person
	Rehearsed bool     // the clocks of the machines are not held against that of the service
	Ahead     bool     // give all steps to their devices at once
	Hot       []string // hot folders
	Retention works.Retention

	Sender    string        // SenderID or DeviceID of the service; default Quoin
	Wait      time.Duration // how long the sender of a ticket waits for its check; default 3 seconds
	Most      int           // entries that the queue takes; 0 for no limit
	MostBody  int64         // bytes of a request; default 64 MiB
	Workers   int           // chores at once; default 4
	Poll      time.Duration // how often other instances' work is looked for; default a second
	Settle    time.Duration // how long a file of a hot folder has to stay as it is; default 2 seconds
	Repeat    time.Duration // between the signals that devices are asked for; default a minute
	Grace     time.Duration // what requests and chores get to end when the service ends; default 20 seconds
	Additions []Addition

	Clock   func() time.Time // default time.Now
	Log     *slog.Logger     // default slog.Default
	Version string           // of the program
}

func (c *Config) usual() {
	if c.Listen == "" {
		c.Listen = "127.0.0.1:8080"
	}
	if c.Sender == "" {
		c.Sender = "Quoin"
	}
	if c.MostBody <= 0 {
		c.MostBody = 64 << 20
	}
	if c.Grace <= 0 {
		c.Grace = 20 * time.Second
	}
	if c.Clock == nil {
		c.Clock = time.Now
	}
	if c.Log == nil {
		c.Log = slog.Default()
	}
	c.Log = slog.New(discreet{c.Log.Handler()})
}

package service

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"

	"quoin/cmd/quoin/internal/works"
)

// metrics are what is counted as it happens; what can be counted in the store is asked
// when somebody wants to know.
type metrics struct {
	messages    *prometheus.CounterVec
	messageTime prometheus.Histogram
	requests    *prometheus.CounterVec
	requestTime *prometheus.HistogramVec
	deliveries  *prometheus.CounterVec
	findings    *prometheus.CounterVec
	failures    *prometheus.CounterVec
	folderFiles *prometheus.CounterVec
	checkTime   prometheus.Histogram
}

func counter(name, help string, labels ...string) *prometheus.CounterVec {
	return prometheus.NewCounterVec(prometheus.CounterOpts{Namespace: "quoin", Name: name, Help: help}, labels)
}

func histogram(name, help string) prometheus.HistogramOpts {
	return prometheus.HistogramOpts{Namespace: "quoin", Name: name, Help: help,
		Buckets: []float64{.001, .0025, .005, .01, .025, .05, .1, .25, .5, 1, 2.5, 5, 10}}
}

func newMetrics(r *prometheus.Registry, store *works.Store) *metrics {
	m := &metrics{
		messages:    counter("messages_total", "Messages answered, by type and return code.", "type", "code"),
		messageTime: prometheus.NewHistogram(histogram("message_seconds", "Time from a document to its answer.")),
		requests:    counter("http_requests_total", "HTTP requests, by route and status.", "route", "status"),
		requestTime: prometheus.NewHistogramVec(histogram("http_request_seconds", "Time of HTTP requests, by route."),
			[]string{"route"}),
		deliveries:  counter("delivery_attempts_total", "Attempts to deliver, by kind and result.", "kind", "result"),
		findings:    counter("findings_total", "Findings of the checks of tickets, by severity.", "severity"),
		failures:    counter("chore_failures_total", "Attempts at chores that went wrong, by kind.", "kind"),
		folderFiles: counter("folder_files_total", "Files taken out of hot folders, by result.", "result"),
		checkTime:   prometheus.NewHistogram(histogram("check_seconds", "Time of the check of a ticket.")),
	}
	r.MustRegister(m.messages, m.messageTime, m.requests, m.requestTime, m.deliveries, m.findings, m.failures,
		m.folderFiles,
		m.checkTime, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}),
		&counts{store: store})
	return m
}

// counts asks the store for its numbers when they are collected.
type counts struct{ store *works.Store }

func gauge(name, help string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("quoin_"+name, help, labels, nil)
}

// The gauges of the store.
func (c *counts) descs() map[string]*prometheus.Desc {
	return map[string]*prometheus.Desc{
		"tickets":    gauge("tickets", "Tickets in the store, by state.", "state"),
		"chores":     gauge("chores", "Chores that are not over, by kind and state.", "kind", "state"),
		"deliveries": gauge("deliveries", "Deliveries in the store, by state.", "state"),
		"alerts":     gauge("alerts", "Alerts in the store, by state.", "state"),
		"inbox":      gauge("inbox_messages", "Messages in the inbox."),
		"oldest":     gauge("oldest_chore_seconds", "For how long the chore that waits longest has been due."),
		"up":         gauge("store_up", "1 when the store could be read, else 0."),
	}
}

// Describe is that of prometheus.Collector.
func (c *counts) Describe(to chan<- *prometheus.Desc) {
	for _, d := range c.descs() {
		to <- d
	}
}

// Collect is that of prometheus.Collector.
func (c *counts) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	d := c.descs()
	send := func(name string, value float64, labels ...string) {
		to <- prometheus.MustNewConstMetric(d[name], prometheus.GaugeValue, value, labels...)
	}
	var now time.Time
	n, err := works.Ask(ctx, c.store, func(tx *works.Tx) (*works.Counts, error) {
		now = tx.Now()
		return tx.Counts()
	})
	if err != nil {
		send("up", 0)
		return
	}
	send("up", 1)
	for _, state := range works.States() { // also those of which there is none
		send("tickets", float64(n.Tickets[state]), string(state))
	}
	for kind, states := range n.Chores {
		for state, count := range states {
			send("chores", float64(count), kind, string(state))
		}
	}
	for state, count := range n.Deliveries {
		send("deliveries", float64(count), string(state))
	}
	for state, count := range n.Alerts {
		send("alerts", float64(count), string(state))
	}
	send("inbox", float64(n.Messages))
	oldest := 0.0
	if !n.Oldest.IsZero() {
		oldest = max(now.Sub(n.Oldest).Seconds(), 0)
	}
	send("oldest", oldest)
}

// checked counts what the check of a ticket found.
func (m *metrics) checked(c works.Checked, took time.Duration) {
	m.checkTime.Observe(took.Seconds())
	m.findings.WithLabelValues("error").Add(float64(c.Errors))
	m.findings.WithLabelValues("warning").Add(float64(c.Warnings))
}

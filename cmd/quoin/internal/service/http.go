package service

import (
	"context"
	"encoding/json"
	"errors"
	"log"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/prometheus/client_golang/prometheus/promhttp"

	"quoin/cmd/quoin/internal/access"
)

// handler makes the routes. Only what says nothing of jobs is open to everybody.
func (s *Service) handler() http.Handler {
	mux := http.NewServeMux()
	guard := s.parts.Guard
	mux.Handle("POST /jmf", guard.Allow(http.HandlerFunc(s.messages), access.Sender, access.Device, access.Operator))
	mux.HandleFunc("GET /health", s.alive)
	mux.HandleFunc("GET /ready", s.ready)
	mux.Handle("GET /metrics", guard.Allow(promhttp.HandlerFor(s.parts.Registry, promhttp.HandlerOpts{
		ErrorLog: serverLog(s.Log), Registry: s.parts.Registry,
	}), access.Reader))
	for _, a := range s.Additions {
		if a.Mount != nil {
			a.Mount(mux, s.parts)
		}
	}
	return s.watched(access.Headers(s.bounded(mux)))
}

// bounded bounds the body of a request.
func (s *Service) bounded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, s.MostBody)
		next.ServeHTTP(w, r)
	})
}

// recorder remembers the status of an answer.
type recorder struct {
	http.ResponseWriter
	status int
}

func (r *recorder) WriteHeader(status int) {
	if r.status == 0 {
		r.status = status
	}
	r.ResponseWriter.WriteHeader(status)
}

func (r *recorder) Write(data []byte) (int, error) {
	if r.status == 0 {
		r.status = http.StatusOK
	}
	return r.ResponseWriter.Write(data)
}

// Unwrap gives the writer below, for http.ResponseController.
func (r *recorder) Unwrap() http.ResponseWriter { return r.ResponseWriter }

// watched counts and logs requests, and answers with 500 where a handler panics.
func (s *Service) watched(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		begun := time.Now()
		rec := &recorder{ResponseWriter: w}
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler { // the way to break an answer off on purpose
					panic(p)
				}
				s.Log.ErrorContext(r.Context(), "a handler panicked", "path", r.URL.Path, "panic", p, "stack",
					string(debug.Stack()))
				if rec.status == 0 {
					http.Error(rec, "something went wrong here; the log of the service says what", http.StatusInternalServerError)
				}
			}
			s.metrics.requests.WithLabelValues(routeOf(r), strconv.Itoa(max(rec.status, http.StatusOK))).Inc()
			s.metrics.requestTime.WithLabelValues(routeOf(r)).Observe(time.Since(begun).Seconds())
			s.Log.DebugContext(r.Context(), "request", "method", r.Method, "path", r.URL.Path, "status", rec.status,
				"from", r.RemoteAddr, "took", time.Since(begun))
		}()
		next.ServeHTTP(rec, r)
	})
}

// routeOf names the route of a request, and never what a stranger made up.
func routeOf(r *http.Request) string {
	if r.Pattern == "" {
		return "none"
	}
	return r.Pattern
}

func (s *Service) alive(w http.ResponseWriter, _ *http.Request) {
	writeJSON(w, http.StatusOK, map[string]string{"status": "alive"})
}

func writeJSON(w http.ResponseWriter, status int, value any) {
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(value) // what can not be written is the other side's loss
}

// ready says whether the service can do its work: the store takes what is written, and
// chores are worked off.
func (s *Service) ready(w http.ResponseWriter, r *http.Request) {
	ctx, cancel := context.WithTimeout(r.Context(), 2*patience)
	defer cancel()
	if err := s.isReady(ctx); err != nil {
		s.Log.WarnContext(ctx, "not ready", "error", err)
		writeJSON(w, http.StatusServiceUnavailable, map[string]string{"status": "not ready", "reason": reasonOf(err)})
		return
	}
	writeJSON(w, http.StatusOK, map[string]string{"status": "ready"})
}

// reasonOf is what strangers may know of what is wrong.
func reasonOf(err error) string {
	var known *unready
	if errors.As(err, &known) {
		return known.reason
	}
	return "the store can not be written"
}

// serverLog takes what net/http has to say.
func serverLog(l *slog.Logger) *log.Logger { return slog.NewLogLogger(l.Handler(), slog.LevelDebug) }

package api

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"mime"
	"net/http"
	"runtime"
	"strconv"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/service"
)

// api answers the operations of the table.
type api struct {
	parts *service.Parts
	turns chan struct{} // one for each heavy operation at once
}

// Addition is the API for a running service, under Prefix.
func Addition() service.Addition {
	return service.Addition{Name: "api", Mount: func(mux *http.ServeMux,
		p *service.Parts) {
		mux.Handle(Prefix+"/", handler(p))
	}}
}

// handler answers everything under Prefix.
func handler(p *service.Parts) http.Handler {
	a := &api{parts: p, turns: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)))}
	mux := http.NewServeMux()
	for _, op := range operations() {
		mux.Handle(op.Method+" "+Prefix+op.Path, a.guarded(op))
	}
	return plainErrors(mux)
}

// plainErrors answers for what the router itself refuses: no such path, no such method.
func plainErrors(mux *http.ServeMux) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h, pattern := mux.Handler(r)
		if pattern != "" {
			mux.ServeHTTP(w, r)
			return
		}
		probe := &refusal{header: http.Header{}}
		h.ServeHTTP(probe, r)
		p := &problem{Status: http.StatusNotFound, Code: "path-unknown", Where: "path",
			Detail: fmt.Sprintf("there is no operation at %q", r.URL.Path), Do: "see " + Prefix + "/openapi.json"}
		if probe.status == http.StatusMethodNotAllowed {
			w.Header().Set("Allow", probe.header.Get("Allow"))
			p.Status, p.Code, p.Where = probe.status, "method-unknown", "method"
			p.Detail = fmt.Sprintf("%s is not possible at %q; want %s", r.Method, r.URL.Path,
				probe.header.Get("Allow"))
		}
		writeProblem(w, p)
	})
}

// refusal takes the status of what the router refuses.
type refusal struct {
	header http.Header
	status int
}

func (r *refusal) Header() http.Header         { return r.header }
func (r *refusal) Write(b []byte) (int, error) { return len(b), nil }
func (r *refusal) WriteHeader(status int)      { r.status = status }

// guarded puts an operation behind the guard.
func (a *api) guarded(op *operation) http.Handler {
	behind := a.parts.Guard.Allow(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if g, ok := w.(*gate); ok {
			w = g.ResponseWriter
		}
		a.answer(op, w, r)
	}), op.Roles...)
	return http.HandlerFunc(func(w http.ResponseWriter,
		r *http.Request) {
		behind.ServeHTTP(&gate{ResponseWriter: w}, r)
	})
}

// answer runs an operation and writes what it gives.
func (a *api) answer(op *operation, w http.ResponseWriter, r *http.Request) {
	c := &call{w: w, r: r, op: op, who: access.Of(r.Context())}
	out, err := a.run(c)
	if err == nil && out.stream != nil {
		if err = out.stream(c); err != nil {
			a.parts.Log.WarnContext(r.Context(), "an answer of the API is broken off", "path", r.URL.Path,
				"error", err)
			panic(http.ErrAbortHandler) // so that half an answer is not taken for a whole one
		}
		return
	}
	if err == nil {
		err = out.fill()
	}
	if err != nil {
		writeProblem(w, a.tell(r, err))
		return
	}
	out.write(w, op, r.Header.Get("If-None-Match"))
}

func (a *api) run(c *call) (*reply, error) {
	var err error
	if c.values, err = c.op.read(c.r); err != nil {
		return nil, err
	}
	if c.op.Match && c.r.Header.Get("If-Match") == "" {
		return nil, &problem{Status: http.StatusPreconditionRequired, Code: "match-missing", Where: "header If-Match",
			Detail: "the request does not say which state of the job it is about",
			Do:     "read the job and send its ETag as If-Match, or * for whatever it is"}
	}
	if c.op.Heavy {
		done, err := a.turn(c.r.Context())
		if err != nil {
			return nil, err
		}
		defer done()
	}
	return c.op.do(a, c)
}

// turn waits until this request may compute.
func (a *api) turn(ctx context.Context) (done func(), err error) {
	select {
	case a.turns <- struct{}{}:
		return func() { <-a.turns }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// fill makes the body of a value, so that what can not be written is told as a problem.
func (out *reply) fill() error {
	if out.body != nil || out.value == nil {
		return nil
	}
	var text bytes.Buffer
	enc := json.NewEncoder(&text)
	enc.SetEscapeHTML(true)
	if err := enc.Encode(out.value); err != nil {
		return fmt.Errorf("write the answer: %w", err)
	}
	out.media, out.body = "application/json", text.Bytes()
	return nil
}

func (out *reply) write(w http.ResponseWriter, op *operation, seen string) {
	h := w.Header()
	for name, values := range out.header {
		h[name] = values
	}
	status := out.status
	if status == 0 {
		status = max(op.Status, http.StatusOK)
	}
	if tag := h.Get("ETag"); tag != "" && status == http.StatusOK && op.Method == http.MethodGet && matches(seen, tag) {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	if out.media != "" {
		h.Set("Content-Type", out.media)
	}
	if out.name != "" {
		h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": out.name}))
	}
	h.Set("Content-Length", strconv.Itoa(len(out.body)))
	w.WriteHeader(status)
	_, _ = w.Write(out.body) // who has gone away needs no answer
}

// matches reports whether a list of entity tags has one; * is any.
func matches(list, tag string) bool {
	for one := range strings.SplitSeq(list, ",") {
		if one = strings.TrimSpace(one); one == "*" || strings.TrimPrefix(one, "W/") == tag {
			return true
		}
	}
	return false
}

func trimmed(text []byte) string { return strings.TrimSpace(string(text)) }

package api

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"

	"quoin/cmd/quoin/internal/works"
)

// problem is a mistake of who asks, or of ours, as RFC 9457 writes it. It is an error.
type problem struct {
	Type   string `json:"type" doc:"urn:quoin:problem: and the code"`
	Title  string `json:"title" doc:"the status in words"`
	Status int    `json:"status" doc:"HTTP status"`
	Code   string `json:"code" doc:"stable word for programs, such as parameter-wrong"`
	Detail string `json:"detail" doc:"what is wrong"`
	Where  string `json:"where,omitempty" doc:"the parameter, header or field that is wrong"`
	Do     string `json:"do" doc:"what to do about it"`
}

const problemMedia = "application/problem+json"

func (p *problem) Error() string { return p.Detail }

func unknown(what string) error {
	return &problem{Status: http.StatusNotFound, Code: "unknown", Detail: what, Do: "take the number from a list"}
}

// tell turns an error into a problem. What is wrong with the service itself goes to the log.
func (a *api) tell(r *http.Request, err error) *problem {
	var p *problem
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &p):
		return p
	case errors.As(err, &large):
		return &problem{Status: http.StatusRequestEntityTooLarge, Code: "too-large", Where: "body",
			Detail: fmt.Sprintf("the body has more than %d bytes, the most that is taken", large.Limit),
			Do:     "send less at once, or have the limit of the service raised"}
	case errors.Is(err, works.ErrUnknown):
		return &problem{Status: http.StatusNotFound, Code: "unknown", Detail: err.Error(),
			Do: "take the number from a list"}
	case errors.Is(err, works.ErrState):
		return &problem{Status: http.StatusConflict, Code: "state", Detail: err.Error(),
			Do: "read it again and decide anew"}
	case errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return &problem{Status: http.StatusServiceUnavailable, Code: "broken-off",
			Detail: "the request was broken off",
			Do:     "ask again"}
	}
	a.parts.Log.ErrorContext(r.Context(), "answer a request of the API", "method", r.Method, "path", r.URL.Path,
		"error", err)
	return &problem{Status: http.StatusInternalServerError, Code: "internal", Detail: "the service could not do this",
		Do: "ask again in a moment; the log of the service says why"}
}

// writeProblem writes a problem; headers that are set already, such as Retry-After, stay.
func writeProblem(w http.ResponseWriter, p *problem) {
	out := *p
	out.Type, out.Title = "urn:quoin:problem:"+p.Code, http.StatusText(p.Status)
	body, err := json.Marshal(out)
	if err != nil { // strings and a number can always be written
		body = []byte("{}")
	}
	h := w.Header()
	h.Del("Content-Length")
	h.Del("Content-Encoding")
	h.Set("Content-Type", problemMedia)
	if p.Code == "broken-off" || p.Code == "busy" {
		h.Set("Retry-After", "2")
	}
	w.WriteHeader(p.Status)
	_, _ = w.Write(append(body, '\n')) // who has gone away needs no answer
}

// gate turns the refusals of the guard, which are text, into problems. Behind the guard
// it is taken off again.
type gate struct {
	http.ResponseWriter
	status int
}

func (g *gate) WriteHeader(status int) { g.status = status }

func (g *gate) Write(text []byte) (int, error) {
	p := &problem{Status: g.status, Code: "forbidden", Detail: trimmed(text), Where: "header Authorization",
		Do: "ask with the token of a partner that has one of the roles of the operation"}
	switch g.status {
	case http.StatusUnauthorized:
		p.Code, p.Do = "who", "send the token of a partner as Authorization: Bearer"
	case http.StatusTooManyRequests:
		p.Code, p.Where, p.Do = "too-often", "", "wait as long as Retry-After says"
	}
	writeProblem(g.ResponseWriter, p)
	return len(text), nil
}

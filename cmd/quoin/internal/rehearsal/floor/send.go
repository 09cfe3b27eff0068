package floor

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/http/httptrace"
	"time"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/rehearsal"
	"quoin/jdf"
	"quoin/jdf/message"
)

// deliver sends a message, again and again until it is taken or refused, with
// the faults that strike it.
func (o *outbox) deliver(ctx context.Context, l *letter) {
	defer o.finish(l)
	if l.file != "" {
		if err := place(l.file, l.body); err != nil {
			o.floor.Log.Error("ticket can not be returned", "device", o.device, "job", l.job, "error", err)
		}
		return
	}
	d := rehearsal.Throw(o.floor.Seed, "deliver", o.device, l.id, l.url)
	body := l.body
	if l.wrong != nil && o.strikes(d, Counters, l) {
		body = l.wrong
	}
	if o.strikes(d, Malformed, l) {
		// Whatever is answered: half a message is none.
		_ = o.floor.post1(ctx, l.url, l.media, body[:len(body)/2])
	}
	if o.strikes(d, Dropped, l) {
		o.floor.drop(ctx, l.url, l.media, body)
	}
	o.insist(ctx, l, body)
	if o.strikes(d, Duplicate, l) {
		o.insist(ctx, l, body)
	}
}

// The pauses between two attempts, on the wall: the receiver does not live in
// the time of the works.
const (
	firstPause = 20 * time.Millisecond
	lastPause  = 5 * time.Second
)

// insist posts until somebody has answered for it.
func (o *outbox) insist(ctx context.Context, l *letter, body []byte) {
	for pause := firstPause; ; pause = min(2*pause, lastPause) {
		err := o.floor.post1(ctx, l.url, l.media, body)
		var no *refusal
		switch {
		case err == nil:
			return
		case errors.As(err, &no):
			o.floor.Log.Warn("message is refused", "device", o.device, "job", l.job, "id", l.id, "error", err)
			return
		}
		o.floor.Log.Debug("message is not taken", "device", o.device, "id", l.id, "error", err)
		select {
		case <-time.After(pause):
		case <-ctx.Done():
			return
		}
	}
}

// refusal is an answer that another attempt would not change.
type refusal struct{ why string }

func (r *refusal) Error() string { return r.why }

// post1 posts once. The error is a *refusal where it makes no sense to try again.
func (f *Floor) post1(ctx context.Context, to, media string, body []byte) error {
	if !f.allowed(to) {
		return &refusal{fmt.Sprintf("%q is not at %s", to, f.To.Hostname())}
	}
	request, err := http.NewRequestWithContext(ctx, http.MethodPost, to, bytes.NewReader(body))
	if err != nil {
		return &refusal{err.Error()}
	}
	request.Header.Set("Content-Type", media)
	response, err := f.client.Do(request)
	if err != nil {
		return fmt.Errorf("post message: %w", err)
	}
	defer response.Body.Close()
	answer, err := io.ReadAll(io.LimitReader(response.Body, largest))
	if err != nil {
		return fmt.Errorf("read answer: %w", err)
	}
	return judge(response.StatusCode, answer)
}

// judge tells by an answer whether a message was taken.
func judge(status int, answer []byte) error {
	switch {
	case status >= 500, status == http.StatusTooManyRequests, status == http.StatusRequestTimeout:
		return fmt.Errorf("answer has status %d", status)
	case status >= 300:
		return &refusal{fmt.Sprintf("answer has status %d", status)}
	}
	doc, faults, err := jdf.Read("answer", bytes.NewReader(answer), jdf.Limits{})
	if err != nil || len(faults) > 0 || !doc.Kind.Message() {
		return nil // taken, without a word that could be understood
	}
	for _, m := range message.Decode(doc).Messages {
		switch o := compose.OutcomeOf(m); o.Code {
		case message.Success:
		case message.Busy, message.InternalError, message.DeviceNotAvailable:
			return fmt.Errorf("answer has return code %d", o.Code)
		default:
			return &refusal{fmt.Sprintf("answer has return code %d: %v", o.Code, o.Comments)}
		}
	}
	return nil
}

// drop posts, and cuts the connection when all is written, so that nobody
// knows whether it was taken.
func (f *Floor) drop(ctx context.Context, to, media string, body []byte) {
	ctx, cut := context.WithCancel(ctx)
	defer cut()
	ctx = httptrace.WithClientTrace(ctx, &httptrace.ClientTrace{
		WroteRequest: func(httptrace.WroteRequestInfo) { cut() },
	})
	_ = f.post1(ctx, to, media, body) // it is meant to fail
}

package deliver

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/works"
	"quoin/cmd/quoin/internal/works/flow"
	"quoin/jdf"
	"quoin/jdf/message"
)

// mostAnswer is the most bytes of an answer that are read.
const mostAnswer = 4 << 20

// Sender sends deliveries.
type Sender struct {
	Store  *works.Store
	Hosts  *Hosts
	Agent  string                                                 // User-Agent; default Quoin
	Result func(d *works.Delivery, sent flow.Sent, failure error) // is told of every attempt; may be nil
}

// Send sends one delivery, by HTTP or into a folder.
func (s *Sender) Send(ctx context.Context, d *works.Delivery, body []byte) (flow.Sent, error) {
	sent, err := s.send(ctx, d, body)
	if s.Result != nil {
		s.Result(d, sent, err)
	}
	return sent, err
}

func (s *Sender) send(ctx context.Context, d *works.Delivery, body []byte) (flow.Sent, error) {
	if u, err := url.Parse(d.Address); err == nil && (u.Scheme == "http" || u.Scheme == "https") && u.Host != "" {
		return s.post(ctx, d, body)
	}
	return s.drop(ctx, d, body)
}

// post sends a delivery by HTTP and reads the answer.
func (s *Sender) post(ctx context.Context, d *works.Delivery, body []byte) (flow.Sent, error) {
	req, err := http.NewRequestWithContext(ctx, http.MethodPost, d.Address, bytes.NewReader(body))
	if err != nil {
		return flow.Sent{}, works.Permanent(fmt.Errorf("send to %q: %w", d.Address, err))
	}
	req.Header.Set("Content-Type", d.Media)
	req.Header.Set("Accept", accepts)
	req.Header.Set("User-Agent", cmp.Or(s.Agent, "Quoin"))
	res, err := s.Hosts.client(d.Partner, d.Device != "").Do(req)
	if err != nil {
		err = fmt.Errorf("send to %s: %w", d.Address, unwrapURL(err))
		if errors.Is(err, access.ErrHost) {
			err = works.Permanent(err) // until a person adds the host, and retries it
		}
		return flow.Sent{}, err
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(io.LimitReader(res.Body, mostAnswer))
	if err != nil {
		return flow.Sent{}, fmt.Errorf("read the answer of %s: %w", d.Address, err)
	}
	return judge(d, works.Answer{Status: res.StatusCode, Media: res.Header.Get("Content-Type"), Body: answer})
}

// accepts are the media types of answers.
var accepts = compose.MediaType(jdf.KindJMF) + ", " + compose.MediaType(jdf.KindXJMF) +
	", application/xml;q=0.5, text/xml;q=0.5"

// unwrapURL takes off what net/http says before the reason: the method and the URL.
func unwrapURL(err error) error {
	var u *url.Error
	if errors.As(err, &u) {
		return u.Err
	}
	return err
}

// judge reads an answer: taken, refused for good, or to be tried again.
func judge(d *works.Delivery, a works.Answer) (flow.Sent, error) {
	m := answerTo(d, a)
	if m == nil {
		return judgeStatus(d, a)
	}
	out := compose.OutcomeOf(m)
	a.Code = int(out.Code)
	sent := flow.Sent{Answer: a}
	if len(m.QueueEntries) > 0 {
		sent.Queued = m.QueueEntries[0].ID.Value
	}
	switch {
	case out.Code == message.Success:
		sent.Taken = !m.Acknowledged.Value
		return sent, nil
	case harmless(d, out.Code):
		sent.Taken = true
		return sent, nil
	}
	reason := fmt.Sprintf("return code %d, %s", int(out.Code), out.Code)
	if len(out.Comments) > 0 {
		reason += ": " + strings.Join(out.Comments, "; ")
	}
	if slices.Contains(passing, out.Code) || a.Status >= 500 {
		return flow.Sent{}, fmt.Errorf("%s answers with %s", d.Address, reason)
	}
	sent.Refused, sent.Reason = true, reason
	return sent, nil
}

// passing are return codes that another attempt may mend.
var passing = []message.Code{
	message.InternalError, message.Busy, message.DeviceNotAvailable, message.DeviceNotRunning, message.QueueRefuses,
	message.AuthenticationPending,
}

// harmless are refusals that say that what was wanted is so already.
func harmless(d *works.Delivery, code message.Code) bool {
	switch d.Kind {
	case Stop:
		return true // it had nothing to end
	case Submit:
		return code == message.EntryExists
	case Recall:
		return slices.Contains([]message.Code{message.AlreadyInStatus, message.EntryEnded, message.EntryUnknown}, code)
	}
	return code == message.AlreadyInStatus
}

// answerTo finds the response in the body of an answer; nil without one.
func answerTo(d *works.Delivery, a works.Answer) *message.Message {
	if len(bytes.TrimSpace(a.Body)) == 0 {
		return nil
	}
	doc, faults, err := jdf.Read("answer", bytes.NewReader(a.Body), jdf.Limits{})
	if err != nil || len(faults) > 0 || !doc.Kind.Message() {
		return nil
	}
	e := message.Decode(doc)
	if m := compose.AnswerTo(e, d.MessageID); m != nil {
		return m
	}
	if len(e.Messages) == 1 && e.Messages[0].Family == message.Response { // to the only question there was
		return e.Messages[0]
	}
	return nil
}

// judgeStatus reads an answer that has no response in it, which is all there is to a
// signal and to a bare ticket.
func judgeStatus(d *works.Delivery, a works.Answer) (flow.Sent, error) {
	switch {
	case a.Status >= 200 && a.Status < 300:
		kind, _, _ := mime.ParseMediaType(d.Media)
		asks := d.Channel == 0 && (kind == compose.MediaType(jdf.KindJMF) || kind == compose.MediaType(jdf.KindXJMF) ||
			kind == "multipart/related" || kind == compose.ZIPType)
		return flow.Sent{Answer: a, Taken: !asks}, nil
	case slices.Contains([]int{http.StatusBadRequest, http.StatusRequestEntityTooLarge, http.StatusUnsupportedMediaType,
		http.StatusUnprocessableEntity, http.StatusGone}, a.Status):
		return flow.Sent{Answer: a, Refused: true, Reason: fmt.Sprintf("HTTP status %d %s", a.Status,
			http.StatusText(a.Status))}, nil
	}
	return flow.Sent{}, fmt.Errorf("%s answers with HTTP status %d %s", d.Address, a.Status, http.StatusText(a.Status))
}

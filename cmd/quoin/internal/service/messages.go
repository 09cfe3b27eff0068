package service

import (
	"context"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/access"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/validate"
	"quoin/validate/structure"
)

// messages takes a JMF or XJMF document and answers it.
func (s *Service) messages(w http.ResponseWriter, r *http.Request) {
	begun := time.Now()
	ctx := r.Context()
	body, err := io.ReadAll(r.Body)
	if err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			http.Error(w, "the message is larger than "+strconv.FormatInt(large.Limit, 10)+" bytes; send less in one",
				http.StatusRequestEntityTooLarge)
			return
		}
		http.Error(w, "the message broke off; send it again", http.StatusBadRequest)
		return
	}
	heard := &heard{Works: s.office}
	endpoint := *s.endpoint
	endpoint.Works, endpoint.Check = heard, heard.check
	partner := access.Of(ctx).Name
	reply := endpoint.Answer(ctx, dialog.Incoming{
		Partner: partner, Origin: r.RemoteAddr, Media: r.Header.Get("Content-Type"), Body: body,
	})
	if reply.Status == http.StatusServiceUnavailable && ctx.Err() == nil { // and not for he has gone away
		s.health.turnedAway()
	}
	if reply.Media != "" {
		w.Header().Set("Content-Type", reply.Media)
	}
	w.Header().Set("Content-Length", strconv.Itoa(len(reply.Body)))
	w.WriteHeader(reply.Status)
	_, _ = w.Write(reply.Body) // who does not hear the answer asks again, and has it stored
	took := time.Since(begun)
	types := heard.types
	if len(types) == 0 {
		types = []string{"none"}
	}
	for _, t := range types {
		s.metrics.messages.WithLabelValues(t, strconv.Itoa(int(reply.Code))).Inc()
	}
	s.metrics.messageTime.Observe(took.Seconds())
	s.Log.InfoContext(ctx, "message", "types", strings.Join(types, " "), "code", int(reply.Code), "status", reply.Status,
		"partner", partner, "from", r.RemoteAddr, "message", heard.receipt, "messageId", heard.id, "job", heard.job,
		"bytes", len(body), "took", took)
}

// heard is the office, with an ear for what a document holds: for the metrics and the log.
type heard struct {
	dialog.Works
	types   []string
	receipt int64
	id      string
	job     string
}

// mostTypes is how many messages of one document are counted apart.
const mostTypes = 20

func (h *heard) note(family message.Family, kind, space string) {
	if space != "" { // of others, whose names could be anything
		kind = "other"
	}
	if len(h.types) < mostTypes {
		h.types = append(h.types, string(family)+kind)
	}
}

// check is the check that the endpoint has by default.
func (h *heard) check(doc *jdf.Document) (all []validate.Finding) {
	for _, m := range message.Decode(doc).Messages {
		if m.Family == message.Query || m.Family == message.Command {
			h.note(m.Family, knownType(m.Type), m.Space)
		}
	}
	structure.Check(doc, structure.Options{}, func(f validate.Finding) { all = append(all, f) })
	return all
}

// knownTypes are the types of messages that are counted by their names; a sender could
// make up others without end.
var knownTypes = map[string]bool{
	"SubmitQueueEntry": true, "ResubmitQueueEntry": true, "QueueStatus": true, "HoldQueueEntry": true,
	"ResumeQueueEntry":  true,
	"SuspendQueueEntry": true, "AbortQueueEntry": true, "RemoveQueueEntry": true, "SetQueueEntryPosition": true,
	"SetQueueEntryPriority": true, "QueueEntryStatus": true, "ReturnQueueEntry": true, "KnownDevices": true,
	"KnownMessages":      true,
	"KnownSubscriptions": true, "StopPersistentChannel": true, "Status": true, "Resource": true, "Notification": true,
	"RequestQueueEntry": true, "ModifyQueueEntry": true, "OpenQueue": true, "CloseQueue": true, "HoldQueue": true,
	"ResumeQueue": true, "FlushQueue": true, "SubmissionMethods": true, "ShutDown": true, "WakeUp": true,
}

func knownType(name string) string {
	if knownTypes[name] {
		return name
	}
	return "other"
}

func (h *heard) Keep(ctx context.Context, d dialog.Document) (dialog.Receipt, error) {
	r, err := h.Works.Keep(ctx, d)
	h.receipt, h.id = r.ID, d.MessageID
	return r, err
}

func (h *heard) Told(ctx context.Context, from dialog.From, m *message.Message) error {
	h.note(m.Family, knownType(m.Type), m.Space)
	return h.Works.Told(ctx, from, m)
}

func (h *heard) Submit(ctx context.Context, from dialog.From, s dialog.Submission) (queue.Entry, error) {
	h.job = s.Ticket.Document.Root().Get("JobID")
	return h.Works.Submit(ctx, from, s)
}

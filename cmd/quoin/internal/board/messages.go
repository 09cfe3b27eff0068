package board

import (
	"net/http"
	"strconv"
	"unicode/utf8"

	"quoin/cmd/quoin/internal/works"
)

type messagesPage struct {
	Messages   []*works.Message
	Partner    string
	Unanswered bool
	Older      string // address of the page before, "" for none
}

type messagePage struct {
	*works.Message
	Body   text
	Answer text
}

// text is what a page shows of a body.
type text struct {
	Text   string
	Cut    bool // there is more of it
	Binary bool
	Gone   bool // kept no longer
}

const (
	messagesOnPage = 50
	mostText       = 64 << 10
)

func (b *board) showMessages(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	body := messagesPage{Partner: q.Get("partner"), Unanswered: q.Get("unanswered") == "yes"}
	f := works.MessageFilter{Partner: body.Partner, Unanswered: body.Unanswered, Limit: messagesOnPage + 1}
	if text := q.Get("before"); text != "" {
		n, err := strconv.ParseInt(text, 10, 64)
		if err != nil || n < 1 {
			return wrong("There are no messages before %q; want the number of a message.", text)
		}
		f.Before = n
	}
	var err error
	body.Messages, err = works.Ask(r.Context(), b.Store, func(tx *works.Tx) ([]*works.Message,
		error) {
		return tx.Messages(f)
	})
	if err != nil {
		return err
	}
	if len(body.Messages) > messagesOnPage {
		body.Messages = body.Messages[:messagesOnPage]
		body.Older = withQuery(r.URL, "before", strconv.FormatInt(body.Messages[messagesOnPage-1].ID, 10))
	}
	return b.show(w, r, http.StatusOK, "messages", "Messages", body)
}

func (b *board) showMessage(w http.ResponseWriter, r *http.Request) error {
	m, data, err := b.messageOf(r)
	if err != nil {
		return err
	}
	body := messagePage{Message: m, Body: readable(data)}
	if m.Answer != nil {
		body.Answer = readable(m.Answer.Body)
	}
	return b.show(w, r, http.StatusOK, "message", "Message "+strconv.FormatInt(m.ID, 10), body)
}

func (b *board) messageOf(r *http.Request) (m *works.Message, data []byte, err error) {
	id, err := number(r, "id")
	if err != nil {
		return nil, nil, err
	}
	err = b.Store.Read(r.Context(), func(tx *works.Tx) (err error) {
		if m, err = tx.Message(id); err != nil {
			return err
		}
		data, err = contents(tx, m.Blob)
		return err
	})
	return m, data, err
}

func readable(data []byte) text {
	switch {
	case data == nil:
		return text{Gone: true}
	case !utf8.Valid(data):
		return text{Binary: true}
	case len(data) > mostText:
		cut := mostText
		for !utf8.RuneStart(data[cut]) {
			cut--
		}
		return text{Text: string(data[:cut]), Cut: true}
	}
	return text{Text: string(data)}
}

// sendMessage sends the body of a message, or its answer, as a file.
func (b *board) sendMessage(w http.ResponseWriter, r *http.Request) error {
	m, data, err := b.messageOf(r)
	if err != nil {
		return err
	}
	name := "message-" + strconv.FormatInt(m.ID, 10)
	switch which := r.PathValue("which"); {
	case which == "body" && data != nil:
		return send(w, "application/octet-stream", nameOr(fileNameOf(m), name), data)
	case which == "answer" && m.Answer != nil:
		return send(w, "application/octet-stream", name+"-answer", m.Answer.Body)
	}
	return &mistake{http.StatusNotFound, "There is nothing kept here, or no longer: contents are kept for a time only."}
}

func fileNameOf(m *works.Message) string {
	if m.Name == "" {
		return ""
	}
	return fileName(m.Name)
}

package alerts

import (
	"bytes"
	"context"
	"crypto/tls"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"mime"
	"net"
	"net/http"
	"net/smtp"
	"strings"
	"time"

	"quoin/cmd/quoin/internal/works"
	"quoin/validate/plant"
)

// Sender sends notices. It is immutable.
type Sender struct {
	Limits *plant.Alerts
	Plant  string                             // name of the works
	Client *http.Client                       // that keeps to the allow-list, see access.Client
	Secret func(place string) (string, error) // reads the password of the mail server
	Clock  func() time.Time                   // nil is time.Now
}

// Handle sends the notice of a chore of the kind ChoreNotice. A receiver may get
// one twice, when the process ends just after it was sent; it has the same id.
func (s *Sender) Handle(ctx context.Context, c *works.Chore) error {
	var g Gathered
	if err := json.Unmarshal(c.Data, &g); err != nil {
		return works.Permanent(fmt.Errorf("read notice: %w", err))
	}
	g.Plant = s.Plant
	id := fmt.Sprintf("notice-%s-%s", c.Subject, c.Version)
	for _, n := range s.Limits.Notices {
		switch {
		case n.ID != g.Notice:
		case n.Webhook != "":
			return s.post(ctx, n.Webhook, id, g)
		default:
			return s.mail(ctx, n.Mail, id, g)
		}
	}
	return works.Permanent(fmt.Errorf("notice %q is no longer in the plant file", g.Notice))
}

func (s *Sender) post(ctx context.Context, address, id string, g Gathered) error {
	body, err := json.Marshal(g)
	if err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, address, bytes.NewReader(body))
	if err != nil {
		return works.Permanent(err)
	}
	r.Header.Set("Content-Type", "application/json")
	r.Header.Set("Idempotency-Key", id)
	res, err := s.Client.Do(r)
	if err != nil {
		return fmt.Errorf("post notice: %w", err)
	}
	defer res.Body.Close()
	_, _ = io.Copy(io.Discard, io.LimitReader(res.Body, 64<<10)) // lets the connection be used again
	if res.StatusCode/100 != 2 {
		return fmt.Errorf("post notice to %s: it answered %s", address, res.Status)
	}
	return nil
}

// mailTime bounds the talk with a mail server.
const mailTime = 30 * time.Second

func (s *Sender) mail(ctx context.Context, to []string, id string, g Gathered) error {
	m := s.Limits.Mail
	dialer := net.Dialer{Timeout: mailTime}
	conn, err := dialer.DialContext(ctx, "tcp", m.Server)
	if err != nil {
		return fmt.Errorf("mail notice: %w", err)
	}
	defer conn.Close()
	if err := conn.SetDeadline(time.Now().Add(mailTime)); err != nil {
		return err
	}
	host, _, err := net.SplitHostPort(m.Server)
	if err != nil {
		return works.Permanent(err)
	}
	client, err := smtp.NewClient(conn, host)
	if err != nil {
		return fmt.Errorf("mail notice: %w", err)
	}
	if err := s.send(client, host, to, s.letter(to, id, g)); err != nil {
		return fmt.Errorf("mail notice by %s: %w", m.Server, err)
	}
	return nil
}

func (s *Sender) send(client *smtp.Client, host string, to []string, letter []byte) error {
	m := s.Limits.Mail
	if secure, _ := client.Extension("STARTTLS"); secure {
		if err := client.StartTLS(&tls.Config{ServerName: host, MinVersion: tls.VersionTLS12}); err != nil {
			return err
		}
	}
	if m.User != "" {
		password, err := s.Secret(m.Password)
		if err != nil {
			return fmt.Errorf("password: %w", err)
		}
		// It refuses by itself to send the password in the clear.
		if err := client.Auth(smtp.PlainAuth("", m.User, password, host)); err != nil {
			return err
		}
	}
	if err := client.Mail(m.From); err != nil {
		return err
	}
	for _, a := range to {
		if err := client.Rcpt(a); err != nil {
			return err
		}
	}
	w, err := client.Data()
	if err != nil {
		return err
	}
	_, err = w.Write(letter)
	if err = errors.Join(err, w.Close()); err != nil {
		return err
	}
	_ = client.Quit() // it has been taken
	return nil
}

// letter writes the notice as mail, in plain text.
func (s *Sender) letter(to []string, id string, g Gathered) []byte {
	now := time.Now
	if s.Clock != nil {
		now = s.Clock
	}
	subject := fmt.Sprintf("%s: %d alerts", s.Plant, len(g.Alerts))
	if len(g.Alerts) == 1 {
		subject = s.Plant + ": " + g.Alerts[0].Text
	}
	_, domain, _ := strings.Cut(s.Limits.Mail.From, "@")
	var b bytes.Buffer
	header := func(name, value string) {
		fmt.Fprintf(&b, "%s: %s\r\n", name, strings.NewReplacer("\r", " ", "\n", " ").Replace(value))
	}
	header("From", s.Limits.Mail.From)
	header("To", strings.Join(to, ", "))
	header("Subject", mime.QEncoding.Encode("utf-8", clip(subject, 160)))
	header("Date", now().Format(time.RFC1123Z))
	header("Message-ID", "<"+id+"@"+domain+">")
	header("Auto-Submitted", "auto-generated")
	header("MIME-Version", "1.0")
	header("Content-Type", "text/plain; charset=utf-8")
	header("Content-Transfer-Encoding", "8bit")
	b.WriteString("\r\n")
	for _, a := range g.Alerts {
		text := strings.ReplaceAll(strings.ReplaceAll(a.Text, "\r", " "), "\n", " ")
		fmt.Fprintf(&b, "%s: %s\r\n", a.Severity, clip(text, 900))
	}
	if g.Board != "" {
		fmt.Fprintf(&b, "\r\n%s\r\n", g.Board)
	}
	return b.Bytes()
}

func clip(s string, most int) string {
	if len(s) <= most {
		return s
	}
	return strings.ToValidUTF8(s[:most], "") + "…"
}

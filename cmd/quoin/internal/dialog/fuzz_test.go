package dialog_test

import (
	"bytes"
	"context"
	"os"
	"strings"
	"testing"

	"quoin/cmd/quoin/internal/dialog"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/testdata/standard"
)

// FuzzAnswer holds that whatever is posted, the answer is a well-formed message
// with responses only, or nothing where nobody asked.
func FuzzAnswer(f *testing.F) {
	if _, ok := standard.Find(); ok {
		for _, path := range standard.Samples(f) {
			if !strings.HasSuffix(path, "jmf") {
				continue
			}
			text, err := os.ReadFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add("", text)
		}
	}
	for _, text := range []string{
		jmf(`<Command ID="C1" Type="SubmitQueueEntry"><QueueSubmissionParams URL="cid:ticket"/></Command>`),
		xjmf(`<CommandModifyQueueEntry><Header DeviceID="O" ID="1" Time="x"/></CommandModifyQueueEntry><QueryStatus/>`),
	} {
		in := inPackage(f, text)
		f.Add(in.Media, in.Body)
		f.Add("text/xml", []byte(text))
	}
	f.Fuzz(func(t *testing.T, media string, body []byte) {
		w := &memory{fetch: map[string]string{"http://a": jdfTicket}}
		p := endpoint(w)
		p.XML.MaxBytes, p.Pack.MaxTotal, p.MaxMessages = 1<<16, 1<<18, 20
		r := p.Answer(context.Background(), dialog.Incoming{Media: media, Body: body})
		if r.Body == nil {
			if r.Status != 200 {
				t.Fatalf("status %d without a word", r.Status)
			}
			return
		}
		doc, faults, err := jdf.Read("answer", bytes.NewReader(r.Body), jdf.Limits{})
		if err != nil || len(faults) > 0 || !doc.Kind.Message() {
			t.Fatalf("not a message: %v %v\n%s", err, faults, r.Body)
		}
		answers := message.Decode(doc)
		if len(answers.Messages) == 0 {
			t.Fatalf("no response\n%s", r.Body)
		}
		for _, m := range answers.Messages {
			if m.Family != message.Response || !m.ReturnCode.Given || !message.Code(m.Returned()).Known() {
				t.Fatalf("%s %s with return code %d\n%s", m.Family, m.Type, m.Returned(), r.Body)
			}
		}
	})
}

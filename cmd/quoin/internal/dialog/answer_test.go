package dialog_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/jdf/pack"
)

// jmf and xjmf put messages into an envelope.
func jmf(body string) string {
	return `<JMF xmlns="` + jdf.NamespaceJDF + `" SenderID="Office" TimeStamp="2026-11-25T11:59:00Z" Version="1.7">` +
		body + `</JMF>`
}

const header = `<Header DeviceID="Office" ID="%s" Time="2026-11-25T11:59:00Z"/>`

func xjmf(body string) string {
	return `<XJMF xmlns="` + jdf.NamespaceXJDF + `" Version="2.2">` +
		`<Header DeviceID="Office" Time="2026-11-25T11:59:00Z"/>` + body + `</XJMF>`
}

func TestMalformed(t *testing.T) {
	many := jmf(strings.Repeat(`<Query ID="Q1" Type="KnownDevices"/>`, 501))
	docs := map[string][]byte{}
	for name, c := range map[string]struct {
		media, body string
		status      int
		code        message.Code
		kind        jdf.Kind
		refID, says string
	}{
		"empty": {"", " ", 400, message.MessageIncomplete, jdf.KindJMF, "", "the body is empty"},
		"json":  {"application/json", `{"a":1}`, 415, message.ParserError, jdf.KindJMF, "", `"application/json"`},
		"xjmf media": {"application/vnd.cip4-xjmf+xml", "hello", 415, message.ParserError, jdf.KindXJMF, "",
			"neither XML"},
		"cut off": {"", jmf(`<Query ID="Q1" Type="KnownDevices"/>`)[:140], 400, message.ParserError, jdf.KindJMF,
			"", "1:"},
		"cut off later": {"", strings.TrimSuffix(jmf(`<Query ID="Q1" Type="KnownDevices"/>`), "</JMF>"), 200,
			message.ParserError, jdf.KindJMF, "Q1", "(xml/"},
		"doctype": {"",
			`<!DOCTYPE JMF SYSTEM "http://evil.example/x.dtd">` +
				jmf(`<Query ID="Q1" Type="KnownDevices"/>`), 400, message.ParserError, jdf.KindJMF, "", "(xml/dtd)"},
		"no message":      {"", jmf(""), 400, message.MessageIncomplete, jdf.KindJMF, "", "holds no message"},
		"no message XJMF": {"", xjmf(""), 400, message.MessageIncomplete, jdf.KindXJMF, "", "holds no message"},
		"a ticket": {"", jdfTicket, 400, message.ValidationError, jdf.KindJMF, "",
			"submit a ticket with SubmitQueueEntry"},
		"an XJDF ticket": {"", xjdfTicket, 400, message.ValidationError, jdf.KindXJMF, "",
			"submit a ticket with SubmitQueueEntry"},
		"another XML": {"text/xml", `<order/>`, 400, message.ValidationError, jdf.KindJMF, "", `of root "order"`},
		"too many":    {"", many, 200, message.GeneralError, jdf.KindJMF, "Q1", "at most 500"},
		"bad zip":     {"", "PK\x03\x04 and no more", 400, message.ParserError, jdf.KindXJMF, "", "package"},
		"bad mime": {"multipart/related; boundary=x", "no parts", 400, message.ParserError, jdf.KindJMF, "",
			"package"},
		"mime alone": {"multipart/related", "--x", 400, message.ParserError, jdf.KindJMF, "", "package"},
	} {
		w := &memory{}
		r := endpoint(w).Answer(context.Background(), dialog.Incoming{Media: c.media, Body: []byte(c.body)})
		require.Equal(t, c.status, r.Status, name)
		require.Equal(t, c.code, r.Code, name)
		require.Equal(t, compose.MediaType(c.kind), r.Media, name)
		e := read(t, r)
		require.Equal(t, c.kind, e.Document.Kind, name)
		require.Equal(t, message.Response, e.Messages[0].Family, name)
		require.Equal(t, int(c.code), e.Messages[0].Returned(), name)
		require.Equal(t, c.refID, e.Messages[0].RefID.Value, name)
		require.Contains(t, strings.Join(compose.OutcomeOf(e.Messages[0]).Comments, "\n"), c.says, name)
		require.Empty(t, w.kept, "what is not understood is not kept")
		docs[name] = r.Body
	}
	judge.Published(t, docs)
	judge.Sound(t, docs, "message/answer-to-nothing")
}

// The part that holds the message decides; what is wrong with another part
// matters to who names it.
func TestPackages(t *testing.T) {
	submit := `<Command ID="C1" Type="SubmitQueueEntry"><QueueSubmissionParams URL="cid:ticket"/></Command>`
	w := &memory{}
	e := read(t, endpoint(w).Answer(context.Background(), inPackage(t, jmf(submit))))
	require.Equal(t, 0, e.Messages[0].Returned())
	require.Equal(t, "4711.jdf", w.tickets[0].Name)
	require.Equal(t, "cid:ticket", w.tickets[0].URL)
	require.Equal(t, "ticket", w.tickets[0].Part.ID)
	require.Equal(t, jdfTicket, string(w.tickets[0].Data))
	require.Equal(t, "SM-1041", w.tickets[0].Document.Root().Get("JobID"))

	for url, c := range map[string]struct {
		code message.Code
		says string
	}{
		"cid:root":                      {message.InvalidParameters, "leads to the message itself"},
		"cid:other":                     {message.URLNotAccessible, "holds nothing of that name"},
		"http://office.example/a.jdf":   {message.URLNotAccessible, "are not followed"},
		"file:///etc/passwd":            {message.URLNotAccessible, "are not followed"},
		"ftp://office.example/a.jdf":    {message.URLNotAccessible, "are not followed"},
		"//office.example/share/a.jdf":  {message.InvalidParameters, "URL is"},
		"../../etc/passwd":              {message.InvalidParameters, "URL is"},
		"%2e%2e/secret.jdf":             {message.InvalidParameters, "URL is"},
		"http://allowed.example/bad":    {message.ParserError, "is not readable"},
		"http://allowed.example/xjdf":   {message.InvalidParameters, "want a ticket of root JDF"},
		"http://allowed.example/ticket": {message.Success, ""},
	} {
		w := &memory{fetch: map[string]string{
			"http://allowed.example/bad": "<JDF", "http://allowed.example/xjdf": xjdfTicket,
			"http://allowed.example/ticket": jdfTicket,
		}}
		in := inPackage(t, jmf(strings.ReplaceAll(submit, "cid:ticket", url)))
		e := read(t, endpoint(w).Answer(context.Background(), in))
		require.Equal(t, int(c.code), e.Messages[0].Returned(), url)
		require.Contains(t, strings.Join(compose.OutcomeOf(e.Messages[0]).Comments, "\n"), c.says, url)
		require.Equal(t, c.code == message.Success, len(w.entries) == 1, url)
	}
	alone, _ := post(t, &memory{}, jmf(submit))
	require.Equal(t, int(message.URLNotAccessible), alone.Messages[0].Returned())
	require.Contains(t, compose.OutcomeOf(alone.Messages[0]).Comments[0], "came without a package")
}

func TestKeptBeforeAnswered(t *testing.T) {
	submit := inPackage(t,
		jmf(`<Command ID="C1" Type="SubmitQueueEntry"><QueueSubmissionParams URL="cid:ticket"/></Command>`))
	submit.Partner, submit.Origin = "office", "192.0.2.7"
	w := &memory{}
	p := endpoint(w)
	first := p.Answer(context.Background(), submit)
	require.Len(t, w.kept, 1)
	require.Equal(t, "C1", w.kept[0].MessageID)
	require.Equal(t, "Office", w.kept[0].Sender)
	require.Equal(t, "office", w.kept[0].Partner)
	require.Equal(t, dialog.From{
		Partner: "office", Origin: "192.0.2.7", Receipt: 1, Version: jdf.Version{Major: 1, Minor: 7}, Sender: "Office",
		MessageID: "C1", Time: w.from[0].Time,
	}, w.from[0])
	again := p.Answer(context.Background(), submit)
	require.Equal(t, first, again, "the same document has the same answer")
	require.Len(t, w.entries, 1, "and is not done again")

	asks := &memory{}
	endpoint(asks).Answer(context.Background(), dialog.Incoming{Body: []byte(jmf(`<Query ID="Q1" Type="QueueStatus"/>`))})
	require.Empty(t, asks.kept, "a question is not kept")
}

func TestStoreFails(t *testing.T) {
	submit := inPackage(t,
		jmf(`<Command ID="C1" Type="SubmitQueueEntry"><QueueSubmissionParams URL="cid:ticket"/></Command>`))
	for name, w := range map[string]*memory{"keep": {unkept: errDisk}, "submit": {broken: errDisk}} {
		r := endpoint(w).Answer(context.Background(), submit)
		require.Equal(t, http.StatusServiceUnavailable, r.Status, name)
		require.Equal(t, message.InternalError, r.Code, name)
		e := read(t, r)
		require.Equal(t, "C1", e.Messages[0].RefID.Value, name)
		require.Equal(t, int(message.InternalError), e.Messages[0].Returned(), name)
		require.NotContains(t, string(r.Body), "page 7", "what failed is for us, not for them")
		require.Empty(t, w.answered, "so that it is done when it comes again")
	}
	idle := `<Signal ID="S1" Type="Status"><DeviceInfo DeviceStatus="Idle"/></Signal>`
	signal := dialog.Incoming{Body: []byte(jmf(idle))}
	r := endpoint(&memory{broken: errDisk}).Answer(context.Background(), signal)
	require.Equal(t, http.StatusServiceUnavailable, r.Status)
	r = endpoint(&memory{unkept: dialog.Refuse(message.AuthenticationDenied, "not here")}).Answer(context.Background(),
		submit)
	require.Equal(t, http.StatusOK, r.Status)
	require.Equal(t, message.AuthenticationDenied, r.Code)
}

func TestSignals(t *testing.T) {
	w := &memory{}
	r := endpoint(w).Answer(context.Background(), dialog.Incoming{Body: []byte(jmf(
		`<Signal ID="S1" Type="Status"><DeviceInfo DeviceStatus="Idle"/></Signal>` +
			`<Response ID="R1" Type="SubmitQueueEntry" refID="M1" ReturnCode="0"/>` +
			`<Acknowledge ID="K1" Type="SubmitQueueEntry" refID="M1" ReturnCode="0"/>`))})
	require.Equal(t, dialog.Reply{Status: http.StatusOK}, r, "nobody waits for an answer")
	require.Len(t, w.told, 3)
	require.Len(t, w.kept, 1)
	require.Equal(t, []int{0, 1, 2}, []int{w.from[0].Index, w.from[1].Index, w.from[2].Index})

	docs := map[string][]byte{}
	for name, text := range map[string]string{
		"jmf": jmf(`<Signal ID="S1" Type="Status" ChannelMode="Reliable"><DeviceInfo DeviceStatus="Idle"/></Signal>`),
		"xjmf": xjmf(`<SignalStatus ChannelMode="Reliable">` + fmt.Sprintf(header, "S1") +
			`<DeviceInfo Status="Idle"/></SignalStatus>`),
	} {
		e, r := post(t, &memory{}, text)
		require.Equal(t, "Status", e.Messages[0].Type, name)
		require.Equal(t, "S1", e.Messages[0].RefID.Value, name)
		require.Equal(t, 0, e.Messages[0].Returned(), name)
		docs[name] = r.Body
	}
	judge.Published(t, docs)
	judge.Sound(t, docs)
}

func TestLater(t *testing.T) {
	command := `<Command ID="C1" Type="SubmitQueueEntry"%s><QueueSubmissionParams URL="cid:ticket"/></Command>`
	for attributes, acknowledged := range map[string]bool{
		"": false, ` AcknowledgeURL="http://office.example/ack" AcknowledgeType="Applied Completed"`: true,
	} {
		w := &memory{later: true}
		e := read(t, endpoint(w).Answer(context.Background(), inPackage(t, jmf(fmt.Sprintf(command, attributes)))))
		require.Equal(t, 0, e.Messages[0].Returned())
		require.Equal(t, acknowledged, e.Messages[0].Acknowledged.Value)
		require.Equal(t, "entry-1", e.Messages[0].QueueEntries[0].ID.Value)
		if acknowledged {
			require.Equal(t, "http://office.example/ack", w.from[0].AcknowledgeURL)
			require.Equal(t, []string{"Applied", "Completed"}, w.from[0].Acknowledge)
		}
	}
}

// TestKnownMessagesIsWhatIsAnswered holds that a type is listed when, and only
// when, it is answered.
func TestKnownMessagesIsWhatIsAnswered(t *testing.T) {
	listed := map[string]bool{}
	first, _ := post(t, &memory{}, jmf(`<Query ID="Q1" Type="KnownMessages"/>`))
	for _, s := range first.Messages[0].Answers.Services {
		for family, on := range map[string]bool{"Query": s.Query, "Command": s.Command} {
			if on {
				listed[family+s.Type] = true
			}
		}
	}
	second, _ := post(t, &memory{}, xjmf(`<QueryKnownMessages>`+fmt.Sprintf(header, "Q1")+`</QueryKnownMessages>`))
	require.Len(t, second.Messages[0].Answers.Services, 15)
	for _, s := range second.Messages[0].Answers.Services {
		family := "Command"
		if s.Query {
			family = "Query"
		}
		name := family + s.Type
		e, _ := post(t, &memory{}, xjmf(`<`+name+`>`+fmt.Sprintf(header, "Q1")+`</`+name+`>`))
		require.NotEqual(t, int(message.NotImplemented), e.Messages[0].Returned(), name)
	}
	require.Len(t, listed, 28)
	for name := range listed {
		family, kind := "Query", strings.TrimPrefix(name, "Query")
		if rest, command := strings.CutPrefix(name, "Command"); command {
			family, kind = "Command", rest
		}
		e, _ := post(t, &memory{}, jmf(`<`+family+` ID="Q1" Type="`+kind+`"/>`))
		require.NotEqual(t, int(message.NotImplemented), e.Messages[0].Returned(), name)
	}
	filtered, _ := post(t, &memory{}, jmf(`<Query ID="Q1" Type="KnownMessages">`+
		`<KnownMsgQuParams ListCommands="false" ListQueries="true" Persistent="true"/></Query>`))
	require.Len(t, filtered.Messages[0].Answers.Services, 3) // JMF has no place for one to Notification
}

// TestVersions answers in the version of the question, and in the last one
// where the question has none that is known.
func TestVersions(t *testing.T) {
	for declared, want := range map[string]string{`Version="1.3"`: "1.3", `Version="1.99"`: "1.9", ``: "1.9",
		`Version="x"`: "1.9"} {
		text := strings.Replace(jmf(`<Query ID="Q1" Type="KnownDevices"/>`), `Version="1.7"`, declared, 1)
		e, _ := post(t, &memory{}, text)
		require.Equal(t, want, e.Document.Version.String(), declared)
		require.Equal(t, "Office", e.Header.Receiver.Value)
	}
	e, _ := post(t, &memory{}, strings.Replace(xjmf(`<QueryKnownDevices>`+fmt.Sprintf(header,
		"Q1")+`</QueryKnownDevices>`),
		`Version="2.2"`, `Version="2.0"`, 1))
	require.Equal(t, "2.0", e.Document.Version.String())
}

// Until 1.5 a Status query of JMF may ask for the queue as well.
func TestStatusWithQueue(t *testing.T) {
	ask := jmf(`<Query ID="Q1" Type="Status"><StatusQuParams QueueInfo="true"/></Query>`)
	for version, want := range map[string]bool{"1.4": true, "1.5": true, "1.7": false} {
		e, r := post(t, &memory{}, strings.Replace(ask, `"1.7"`, `"`+version+`"`, 1))
		if version == "1.7" {
			// The attribute is no longer of the version; the question is understood all the same.
			require.Equal(t, 0, e.Messages[0].Returned(), string(r.Body))
		}
		require.Equal(t, want, e.Messages[0].Answers.Queue != nil, version)
	}
}

// TestZIPWithoutMessage says what stands in the place of the message.
func TestZIPWithoutMessage(t *testing.T) {
	e := compose.New(compose.Options{})
	body, media, err := compose.Package(e, compose.Attachment{Name: "job.xjdf", Data: []byte(xjdfTicket)})
	require.NoError(t, err)
	r := endpoint(&memory{}).Answer(context.Background(), dialog.Incoming{Media: media, Body: body})
	require.Equal(t, message.MessageIncomplete, r.Code, "an XJMF that holds nothing")

	var out strings.Builder
	require.NoError(t, pack.WriteZIP(&out, []*pack.Part{
		pack.NewPart("artwork/cover.pdf", "", "", []byte("%PDF-1.7")), pack.NewPart("job.xjdf", "", "", []byte(xjdfTicket)),
	}))
	r = endpoint(&memory{}).Answer(context.Background(), dialog.Incoming{Media: media, Body: []byte(out.String())})
	require.Equal(t, message.ValidationError, r.Code)
	require.Contains(t, string(r.Body), "the document is an XJDF ticket; want a JMF or XJMF message")
}

package dialog_test

import (
	"context"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/jdf"
	"quoin/jdf/message"
	"quoin/testdata/standard"
)

// TestSamples answers every published message, and holds the answers against
// the checks of Quoin and the published schemas.
//
// Source: all published message samples of both generations.
func TestSamples(t *testing.T) {
	docs := map[string][]byte{}
	asked, signals, implemented := 0, 0, 0
	for _, path := range standard.Samples(t) {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		doc, _, err := jdf.ReadFile(path, jdf.Limits{})
		require.NoError(t, err)
		if !doc.Kind.Message() {
			continue
		}
		name := filepath.Base(filepath.Dir(path)) + "/" + filepath.Base(path)
		w := &memory{}
		r := endpoint(w).Answer(context.Background(), dialog.Incoming{Body: text})
		require.Equal(t, 200, r.Status, name)
		question := message.Decode(doc)
		var want []*message.Message
		for _, m := range question.Messages {
			switch m.Family {
			case message.Query, message.Command, message.Registration:
				want = append(want, m)
			default:
				signals++
			}
		}
		require.Len(t, w.told, len(question.Messages)-len(want), name)
		if len(want) == 0 {
			require.Empty(t, r.Body, name)
			continue
		}
		docs[name] = r.Body
		answer := read(t, r)
		require.Equal(t, doc.Kind, answer.Document.Kind, name)
		if doc.Version.Major != 0 {
			require.Equal(t, doc.Version, answer.Document.Version, name)
		}
		for _, m := range want {
			asked++
			i := slices.IndexFunc(answer.Messages, func(a *message.Message) bool { return a.RefID.Value == m.ID.Value })
			require.GreaterOrEqual(t, i, 0, "%s: %s is answered", name, m.ID.Value)
			code := message.Code(answer.Messages[i].Returned())
			require.NotContains(t, []message.Code{message.InternalError, message.ParserError, message.ValidationError}, code,
				"%s: %s", name, r.Body)
			if code != message.NotImplemented {
				implemented++
				require.Equal(t, m.Type, answer.Messages[i].Type)
			}
			if code != message.Success {
				require.NotEmpty(t, compose.OutcomeOf(answer.Messages[i]).Comments, name)
			}
		}
	}
	t.Logf("%d questions, %d of supported types, %d signals and answers", asked, implemented, signals)
	require.True(t, asked > 25 && implemented > 15 && signals > 35)
	// Questions without ID can only be answered without refID, and those that
	// the version no longer has only in their own words.
	judge.Sound(t, docs, "message/answer-to-nothing", "schema/no-longer")
	judge.Published(t, docs)
}

// TestEveryType asks for all types of messages that there are, in all their
// versions: each is answered, and each refusal is sound.
//
// Source: the published schemas, their message types.
func TestEveryType(t *testing.T) {
	docs := map[string][]byte{}
	text, err := os.ReadFile(filepath.Join(standard.Dir(t), "jdf/JDFMessage.xsd"))
	require.NoError(t, err)
	types := regexp.MustCompile(`complexType name="(Query|Command)(\w+)"`).FindAllStringSubmatch(string(text), -1)
	require.Greater(t, len(types), 50)
	known := 0
	for _, c := range types {
		for _, v := range []string{"1.2", "1.4", "1.5", "1.9"} {
			question := `<JMF xmlns="` + jdf.NamespaceJDF + `" SenderID="MIS" TimeStamp="2026-11-25T11:00:00Z" Version="` + v +
				`"><` + c[1] + ` ID="Q1" Type="` + c[2] + `"/></JMF>`
			answer, r := post(t, &memory{}, question)
			require.Len(t, answer.Messages, 1)
			require.Equal(t, c[2], answer.Messages[0].Type)
			require.Equal(t, "Q1", answer.Messages[0].RefID.Value)
			if answer.Messages[0].Returned() != int(message.NotImplemented) {
				known++
			}
			docs[c[1]+c[2]+" "+v] = r.Body
		}
	}
	require.Equal(t, 28*4, known)
	xsd, err := os.ReadFile(filepath.Join(standard.Dir(t), "xjdf/xjdf.xsd"))
	require.NoError(t, err)
	second := regexp.MustCompile(`element name="((?:Query|Command)[A-Z]\w+)" substitutionGroup`).
		FindAllStringSubmatch(string(xsd), -1)
	require.Len(t, second, 19)
	for _, c := range second {
		question := `<XJMF xmlns="` + jdf.NamespaceXJDF + `"><Header DeviceID="MIS" Time="2026-11-25T11:00:00Z"/><` + c[1] +
			`><Header DeviceID="MIS" ID="Q1" Time="2026-11-25T11:00:00Z"/></` + c[1] + `></XJMF>`
		answer, r := post(t, &memory{}, question)
		_, kind, _ := strings.Cut(c[1], "y")
		if rest, command := strings.CutPrefix(c[1], "Command"); command {
			kind = rest
		}
		require.Equal(t, kind, answer.Messages[0].Type)
		docs[c[1]] = r.Body
	}
	judge.Published(t, docs)
	for name, body := range docs {
		for _, f := range judge.Findings(t, name, body) {
			// What a version does not have yet or no longer has can only be refused in its own words.
			version := strings.HasPrefix(f, "schema/not-yet") || strings.HasPrefix(f, "schema/no-longer")
			// A note of the schema wants what another one forbids; the published sample has none.
			abort := strings.HasPrefix(name, "CommandAbortQueueEntry") && f == "schema/missing-element: Response has no Queue"
			if !version && !abort {
				t.Errorf("%s: %s\n%s", name, f, body)
			}
		}
	}
}

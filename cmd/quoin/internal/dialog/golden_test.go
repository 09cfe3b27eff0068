package dialog_test

import (
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/cmd/quoin/internal/dialog"
	"quoin/jdf"
	"quoin/jdf/pack"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// The tickets that questions of the golden files come with.
const (
	jdfTicket = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n1" JobID="SM-1041" JobPartID="P1" Status="Waiting"
  Type="Product" Version="1.7"/>`
	xjdfTicket = `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="SM-1041" JobPartID="P1" Types="Cutting"/>`
)

// inPackage puts a message and a ticket into the package of its generation.
func inPackage(t testing.TB, text string) dialog.Incoming {
	t.Helper()
	var out strings.Builder
	if strings.Contains(text, jdf.NamespaceXJDF) {
		require.NoError(t, pack.WriteZIP(&out, []*pack.Part{
			pack.NewPart("root.xjmf", "", "", []byte(text)), pack.NewPart("tickets/4711.xjdf", "", "", []byte(xjdfTicket)),
		}))
		return dialog.Incoming{Media: "application/vnd.cip4-xjdf+zip", Body: []byte(out.String())}
	}
	require.NoError(t, pack.WriteMIME(&out, []*pack.Part{
		pack.NewPart("root.jmf", "root", "application/vnd.cip4-jmf+xml", []byte(text)),
		pack.NewPart("4711.jdf", "ticket", "application/vnd.cip4-jdf+xml", []byte(jdfTicket)),
	}))
	head, body, found := strings.Cut(out.String(), "\r\n\r\n")
	require.True(t, found)
	_, media, found := strings.Cut(head, "Content-Type: ")
	require.True(t, found)
	return dialog.Incoming{Media: strings.ReplaceAll(media, "\r\n", ""), Body: []byte(body)}
}

// TestGolden holds whole answers, one after the other to one endpoint of each
// generation: what one question has changed, the next one sees.
func TestGolden(t *testing.T) {
	docs := map[string][]byte{}
	for _, generation := range []string{"jmf", "xjmf"} {
		questions, err := filepath.Glob(filepath.Join("testdata", generation, "*."+generation))
		require.NoError(t, err)
		require.GreaterOrEqual(t, len(questions), 10, generation)
		w := &memory{}
		p := endpoint(w)
		for _, path := range questions {
			text, err := os.ReadFile(path)
			require.NoError(t, err)
			r := p.Answer(context.Background(), inPackage(t, string(text)))
			require.Equal(t, 200, r.Status, path)
			docs[filepath.Base(path)] = r.Body
			golden := path + ".answer"
			if *update {
				require.NoError(t, os.WriteFile(golden, r.Body, 0o600))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), string(r.Body), path)
		}
	}
	judge.Published(t, docs)
	judge.Sound(t, docs)
}

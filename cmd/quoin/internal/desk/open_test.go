package desk_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose"
	"quoin/cmd/quoin/internal/desk"
	"quoin/jdf"
)

// A package that came by HTTP has its boundary in the head of the request and begins
// with it in its body.
func TestItemsOfAPackageWithoutItsHead(t *testing.T) {
	e := compose.New(compose.Options{Version: jdf.LastJDF})
	file := compose.Attachment{
		ID: "ticket", Name: "a.jdf", Type: compose.MediaType(jdf.KindJDF),
		Data: []byte(`<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="a" Type="Product" Status="Waiting" Version="1.7"/>`),
	}
	e.Submit(compose.Submission{URL: e.URL(file)})
	body, media, err := compose.Package(e, file)
	require.NoError(t, err)
	require.Equal(t, "--", string(body[:2]))
	for _, m := range []string{media, ""} {
		items, err := desk.Items("", m, body)
		require.NoError(t, err)
		require.Len(t, items, 2)
		ticket, err := desk.Ticket("a.jdf", m, body)
		require.NoError(t, err)
		require.Equal(t, "a", ticket.Document.Root().Get("ID"))
		whole := desk.Whole(m, body)
		require.Equal(t, "MIME-Version", string(whole[:12]))
		require.Equal(t, whole, desk.Whole(m, whole), "it is whole")
	}
}

package deliver_test

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/compose/judge"
	"quoin/cmd/quoin/internal/deliver"
	"quoin/cmd/quoin/internal/works"
	"quoin/jdf"
	"quoin/jdf/message"
)

// The id of a delivery is that of its message, by which answers and signals refer to
// it, in both generations.
func TestMessagesHaveTheirID(t *testing.T) {
	c := &deliver.Composer{Sender: "Quoin", Public: "http://localhost:1"}
	written := map[string][]byte{}
	for _, dialect := range []string{"jmf", "xjmf"} {
		d := &works.Device{ID: "press-1", URL: "http://localhost:2", Dialect: dialect}
		names := []string{"a", "b", "c", "d"}
		wires, err := c.Subscriptions(func(n int) string { return names[n] }, d)
		require.NoError(t, err)
		if dialect == "jmf" { // it has no place for a subscription to notifications
			names = names[:3]
		}
		require.Len(t, wires, len(names))
		for i, wire := range wires {
			doc, faults, err := jdf.Read("wire", bytes.NewReader(wire.Body), jdf.Limits{})
			require.NoError(t, err)
			require.Empty(t, faults)
			all := message.Decode(doc).Messages
			require.Len(t, all, 1)
			require.Equal(t, names[i], all[0].ID.Value, "%s %s", dialect, wire.Kind)
			written[dialect+" "+names[i]] = wire.Body
		}
	}
	// Source: published schemas of both generations, and what Quoin itself checks.
	judge.Published(t, written)
	judge.Sound(t, written)
}

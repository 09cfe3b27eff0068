package works_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/works"
)

func receive(t *testing.T, s *works.Store, in works.Incoming) works.Received {
	t.Helper()
	got, err := s.Receive(t.Context(), in)
	require.NoError(t, err)
	return got
}

func testInbox(t *testing.T, h *house) {
	in := works.Incoming{
		Partner: "mis", Source: works.ByMessage, Origin: "192.0.2.7", Media: "application/vnd.cip4-xjmf+xml", MessageID: "m1",
		Body: []byte("<XJMF/>"),
	}
	first := receive(t, h.Store, in)
	require.False(t, first.Same)
	require.Equal(t, h.clock.read(), first.At)
	require.Equal(t, in.Body, ask(t, h.Store, func(tx *works.Tx) ([]byte, error) { return tx.Blob(first.Blob) }))

	again := receive(t, h.Store, in)
	require.True(t, again.Same)
	require.Equal(t, first.ID, again.ID)
	require.Nil(t, again.Answer, "it came again before it was answered")

	answer := works.Answer{Status: 200, Code: 0, Media: in.Media, Body: []byte("<Response/>")}
	write(t, h.Store, func(tx *works.Tx) (*works.Answer, error) { return tx.Answer(first.ID, answer) })
	second := write(t, h.Store, func(tx *works.Tx) (*works.Answer, error) {
		return tx.Answer(first.ID, works.Answer{Status: 500, Body: []byte("other")})
	})
	require.Equal(t, "<Response/>", string(second.Body), "the first answer stands")
	again = receive(t, h.Store, in)
	require.True(t, again.Same)
	require.Equal(t, 2, again.Repeats)
	require.Equal(t, 200, again.Answer.Status)
	require.Equal(t, "<Response/>", string(again.Answer.Body))

	other := in
	other.Body = []byte("<XJMF Version='2.1'/>")
	got := receive(t, h.Store, other)
	require.False(t, got.Same, "the same id with another content is another message")
	require.Equal(t, first.ID, got.Clash)

	other = in
	other.Partner = "web shop"
	got = receive(t, h.Store, other)
	require.False(t, got.Same, "another sender may use the same id")
	require.Zero(t, got.Clash)

	other = works.Incoming{Partner: "anna", Source: works.ByUpload, Body: []byte{}}
	require.NotEqual(t, receive(t, h.Store, other).ID, receive(t, h.Store, other).ID,
		"without an id nothing says that it is the same")

	file := works.Incoming{Partner: "in", Source: works.ByFolder, Name: "a.xjdf", Body: []byte("<XJDF/>")}
	once := receive(t, h.Store, file)
	file.Name = "b.xjdf"
	require.Equal(t, once.ID, receive(t, h.Store, file).ID, "the same content of one folder is the same")
	file.Afresh = true
	anew := receive(t, h.Store, file)
	require.NotEqual(t, once.ID, anew.ID)
	file.Afresh = false
	require.Equal(t, anew.ID, receive(t, h.Store, file).ID, "the last one is the one that is repeated")

	open := ask(t, h.Store, func(tx *works.Tx) ([]*works.Message, error) {
		return tx.Messages(works.MessageFilter{Partner: "mis", Unanswered: true})
	})
	require.Len(t, open, 1)
	_, err := works.Ask(t.Context(), h.Store, func(tx *works.Tx) (*works.Message, error) { return tx.Message(999) })
	require.ErrorIs(t, err, works.ErrUnknown)
}

// Many senders send many messages, each three times at once, through two instances.
func testInboxFromMany(t *testing.T, h *house) {
	const senders, messages = 8, 12
	both := []*works.Store{h.Store, h.instance(t, "two", h.clock.read)}
	var wg sync.WaitGroup
	var mu sync.Mutex
	ids, fresh := map[string]map[int64]bool{}, 0
	for n := range senders * messages * 3 {
		wg.Go(func() {
			key := fmt.Sprintf("%d/%d", n%senders, n/senders%messages)
			got, err := both[n%2].Receive(t.Context(), works.Incoming{
				Partner: fmt.Sprint(n % senders), Source: works.ByMessage, MessageID: key, Body: []byte(key),
			})
			mu.Lock()
			defer mu.Unlock()
			if err != nil {
				t.Errorf("receive %s: %v", key, err)
				return
			}
			if ids[key] == nil {
				ids[key] = map[int64]bool{}
			}
			ids[key][got.ID] = true
			if !got.Same {
				fresh++
			}
		})
	}
	wg.Wait()
	require.Len(t, ids, senders*messages)
	require.Equal(t, senders*messages, fresh)
	for key, got := range ids {
		require.Len(t, got, 1, key)
	}
	require.EqualValues(t, senders*messages, ask(t, h.Store, (*works.Tx).Counts).Messages)
}

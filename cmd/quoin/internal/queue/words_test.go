package queue_test

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/queue"
	"quoin/testdata/standard"
)

// values lists the enumeration of a simple type of a published schema.
func values(t *testing.T, file, name string) []string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(standard.Dir(t), file))
	require.NoError(t, err)
	body := regexp.MustCompile(`(?s)<xs:simpleType name="` + name + `".*?</xs:simpleType>`).Find(text)
	require.NotEmpty(t, body, name)
	var all []string
	for _, m := range regexp.MustCompile(`enumeration value="(\w+)"`).FindAllSubmatch(body, -1) {
		all = append(all, string(m[1]))
	}
	require.NotEmpty(t, all)
	return all
}

// Source: published JDF schema, eQueueEntryStatus_ and eQueueStatus_.
func TestWordsOfJMF(t *testing.T) {
	var got []string
	for _, s := range queue.States()[1:] {
		got = append(got, s.String())
	}
	require.ElementsMatch(t, values(t, "jdf/JDFTypes.xsd", "eQueueEntryStatus_"), got)
	got = nil
	for _, s := range queue.Statuses() {
		got = append(got, string(s))
	}
	require.ElementsMatch(t, values(t, "jdf/JDFTypes.xsd", "eQueueStatus_"), got)
}

// Source: published XJDF schema, NodeStatus and Activation.
func TestWordsOfXJMF(t *testing.T) {
	statuses, activations := values(t, "xjdf/xjdf.xsd", "NodeStatus"), values(t, "xjdf/xjdf.xsd", "Activation")
	for _, status := range statuses {
		for _, activation := range activations {
			s, ok := queue.OfNodeStatus(status, activation)
			require.True(t, ok, status)
			told, with := s.NodeStatus()
			require.True(t, slices.Contains(statuses, told), told)
			require.True(t, slices.Contains(activations, with), with)
		}
	}
}

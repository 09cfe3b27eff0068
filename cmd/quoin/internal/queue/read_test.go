package queue_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/jdf"
)

func readXJMF(t *testing.T) *jdf.Document {
	t.Helper()
	doc, faults, err := jdf.Read("message", strings.NewReader(`<XJMF xmlns="http://www.CIP4.org/JDFSchema_2_0">
  <Header DeviceID="MIS" Time="2026-11-25T12:00:00Z"/>
  <QueryQueueStatus><Header DeviceID="MIS" ID="Q1" Time="2026-11-25T12:00:00Z"/>
    <QueueStatusParams><QueueFilter/></QueueStatusParams></QueryQueueStatus></XJMF>`), jdf.Limits{})
	require.NoError(t, err)
	require.Empty(t, faults)
	return doc
}

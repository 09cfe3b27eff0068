package queue_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"quoin/cmd/quoin/internal/queue"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/jdf/message"
	"quoin/jdf/value"
)

func given[T any](v T) job.Fact[T] { return job.Of(v, jdf.Place{}) }

func at(t *testing.T, text string) job.Fact[value.DateTime] {
	t.Helper()
	d, err := value.ParseDateTime(text)
	require.NoError(t, err)
	return given(d)
}

func hour(h int) time.Time { return time.Date(2026, 11, 25, h, 0, 0, 0, time.UTC) }

var shop = []queue.Entry{
	{ID: "e1", JobID: "J1", PartID: "P1", Standing: queue.Standing{State: queue.Running}, Doing: "Setup", Priority: 50,
		Device: "press-1", Submitted: hour(8)},
	{ID: "e2", JobID: "J1", PartID: "P2", Standing: queue.Standing{State: queue.Waiting}, Priority: 60,
		Submitted: hour(9)},
	{ID: "e3", JobID: "J2", Standing: queue.Standing{State: queue.Held}, Priority: 40, Gang: "g1", Submitted: hour(10)},
	{ID: "e4", JobID: "J3", Standing: queue.Standing{State: queue.Completed, End: queue.Completed}, Submitted: hour(7)},
	{ID: "e5", JobID: "J3", Standing: queue.Standing{State: queue.Removed, End: queue.Aborted}, Submitted: hour(7)},
}

// second is the element of a filter of XJMF.
func second(t *testing.T) jdf.Node {
	t.Helper()
	e := message.Decode(readXJMF(t))
	require.NotNil(t, e.Messages[0].Params.Queue)
	return e.Messages[0].Params.Queue.Node
}

func TestSelect(t *testing.T) {
	xjmf := second(t)
	for name, c := range map[string]struct {
		f    *message.QueueFilter
		want []string
	}{
		"none":         {nil, []string{"e1", "e2", "e3", "e4"}},
		"empty":        {&message.QueueFilter{}, []string{"e1", "e2", "e3", "e4"}},
		"ids":          {&message.QueueFilter{Entries: given([]string{"e3", "e9", "e5"})}, []string{"e3"}},
		"job":          {&message.QueueFilter{JobID: given("J1")}, []string{"e1", "e2"}},
		"part":         {&message.QueueFilter{JobID: given("J1"), PartID: given("P2")}, []string{"e2"}},
		"gang":         {&message.QueueFilter{Gangs: given([]string{"g1", "g2"})}, []string{"e3"}},
		"device":       {&message.QueueFilter{Devices: given([]string{"press-1"})}, []string{"e1"}},
		"priority":     {&message.QueueFilter{MinPriority: given(45), MaxPriority: given(55)}, []string{"e1"}},
		"removed":      {&message.QueueFilter{Status: given([]string{"Removed", "Held"})}, []string{"e3", "e5"}},
		"waiting JMF":  {&message.QueueFilter{Status: given([]string{"Waiting"})}, []string{"e2"}},
		"waiting XJMF": {&message.QueueFilter{Node: xjmf, Status: given([]string{"Waiting"})}, []string{"e2", "e3"}},
		"running JMF":  {&message.QueueFilter{Status: given([]string{"Running"})}, []string{"e1"}},
		"setup XJMF":   {&message.QueueFilter{Node: xjmf, Status: given([]string{"Setup"})}, []string{"e1"}},
		"activation":   {&message.QueueFilter{Activation: given("Held")}, []string{"e3"}},
		"first":        {&message.QueueFilter{First: given("e2")}, []string{"e2", "e3", "e4"}},
		"last":         {&message.QueueFilter{Last: given("e2")}, []string{"e1", "e2"}},
		"between":      {&message.QueueFilter{First: given("e2"), Last: given("e3")}, []string{"e2", "e3"}},
		"most":         {&message.QueueFilter{Most: given(2)}, []string{"e1", "e2"}},
		"most none":    {&message.QueueFilter{Most: given(-1)}, nil},
		"newer":        {&message.QueueFilter{NewerThan: at(t, "2026-11-25T09:00:00Z")}, []string{"e3"}},
		"older":        {&message.QueueFilter{OlderThan: at(t, "2026-11-25T09:00:00Z")}, []string{"e1", "e4"}},
	} {
		require.Equal(t, c.want, ids(queue.Select(shop, c.f)), name)
	}
}

func filter(ids ...string) *message.QueueFilter { return &message.QueueFilter{Entries: given(ids)} }

// changes are commands, the code of each, and those of the entries it means.
var changes = map[string]struct {
	m     message.Modification
	code  message.Code
	codes map[string]message.Code
}{
	"nothing":   {message.Modification{}, message.InsufficientParams, nil},
	"unknown":   {message.Modification{Operation: given(message.Operation("Dance"))}, message.InvalidParameters, nil},
	"no filter": {message.Modification{Operation: given(message.Hold)}, message.InsufficientParams, nil},
	"no priority": {message.Modification{Operation: given(message.SetPriority), Filter: filter("e2")},
		message.InsufficientParams, nil},
	"priority": {message.Modification{Operation: given(message.SetPriority), Filter: filter("e2"),
		Priority: given(101)}, message.InvalidParameters, nil},
	"no gang": {message.Modification{Operation: given(message.SetGang), Filter: filter("e2")},
		message.InsufficientParams, nil},
	"no place": {message.Modification{Operation: given(message.Move), Filter: filter("e2")},
		message.InsufficientParams, nil},
	"bad place": {message.Modification{Operation: given(message.Move), Filter: filter("e2"), Next: given("e1")},
		message.InvalidParameters, nil},
	"move many": {message.Modification{Operation: given(message.Move), Filter: filter("e2", "e3"),
		Position: given(0)}, message.InvalidParameters, nil},
	"empty": {message.Modification{Operation: given(message.Hold),
		Filter: &message.QueueFilter{JobID: given("J9")}}, message.EmptySelection, nil},
	"hold": {message.Modification{Operation: given(message.Hold), Filter: filter("e1", "e2", "e3", "e4", "e5",
		"e9")}, 0, map[string]message.Code{"e1": 106, "e2": 0, "e3": 113, "e4": 114, "e5": 105, "e9": 105}},
	"set priority": {message.Modification{Operation: given(message.SetPriority), Filter: filter("e2"),
		Priority: given(100)}, 0, map[string]message.Code{"e2": 0}},
	"set gang": {message.Modification{Operation: given(message.SetGang), Filter: filter("e1", "e2"),
		Gang: given("g2")}, 0, map[string]message.Code{"e1": 106, "e2": 0}},
	"move": {message.Modification{Operation: given(message.Move), Filter: filter("e3"), Position: given(0)}, 0,
		map[string]message.Code{"e3": 0}},
	"move running": {message.Modification{Operation: given(message.Move), Filter: filter("e1"), Position: given(0)}, 0,
		map[string]message.Code{"e1": 106}},
	"move nobody": {message.Modification{Operation: given(message.Move), Filter: filter("e9"), Position: given(0)}, 0,
		map[string]message.Code{"e9": 105}},
	"abort the job": {message.Modification{Operation: given(message.Abort),
		Filter: &message.QueueFilter{JobID: given("J1")}}, 0, map[string]message.Code{"e1": 0, "e2": 0}},
}

func TestChange(t *testing.T) {
	for name, c := range changes {
		results, code, why := queue.Change(shop, &c.m)
		require.Equal(t, c.code, code, name)
		require.Equal(t, code != message.Success, why != "", name)
		require.Equal(t, code != message.Success, results == nil, name)
		var got map[string]message.Code
		for _, r := range results {
			if r.Along {
				require.Equal(t, message.Success, r.Code)
				continue
			}
			if got == nil {
				got = map[string]message.Code{}
			}
			got[r.ID] = r.Code
			require.Equal(t, r.Code != message.Success, r.Why != "", name)
			if r.Code != message.Success {
				require.Equal(t, r.Before, r.Entry, name)
			} else {
				require.NotEqual(t, r.Before, r.Entry, name)
			}
		}
		require.Equal(t, c.codes, got, name)
	}
}

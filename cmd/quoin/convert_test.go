//go:build !checker

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const (
	oldOrder = `<JDF xmlns="http://www.CIP4.org/JDFSchema_1_1" ID="n" Type="Folding" Status="Waiting" JobID="SPW-21" ` +
		`JobPartID="fold" Version="1.6" MaxVersion="1.6"><ResourcePool>` +
		`<Component ID="c" Class="Quantity" Status="Available" ComponentType="Sheet"/></ResourcePool>` +
		`<ResourceLinkPool><ComponentLink rRef="c" Usage="Input" Amount="10"/></ResourceLinkPool></JDF>`
	oldMessage = `<JMF xmlns="http://www.CIP4.org/JDFSchema_1_1" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" ` +
		`SenderID="mis" TimeStamp="2026-03-02T08:00:00Z" Version="1.6">` +
		`<Query ID="q1" Type="KnownDevices" xsi:type="QueryKnownDevices"/></JMF>`
)

// Of a folder with files of both generations, those of the other generation are
// converted; what is there already, and what is broken, is passed by and named.
func TestConvertFolderOfBoth(t *testing.T) {
	dir, out := t.TempDir(), filepath.Join(t.TempDir(), "out")
	leaf, err := os.ReadFile(leaflet)
	require.NoError(t, err)
	for name, text := range map[string]string{
		"old.jdf": oldOrder, "new.xjdf": string(leaf), "ask.jmf": oldMessage, "broken.jdf": "<JDF", "other.jdf": "<order/>",
	} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644))
	}
	status, _, list := quoin(t, "", "convert", dir, "--to", "xjdf", "--out", out)
	require.Equal(t, statusFindings, status, list)
	require.Contains(t, list, "new.xjdf is XJDF already, and is passed by")
	require.Contains(t, list, "broken.jdf is passed by")
	require.Contains(t, list, "other.jdf is passed by: it is no ticket and no message")
	require.FileExists(t, filepath.Join(out, "SPW-21.fold.xjdf"))
	require.FileExists(t, filepath.Join(out, "ask.xjmf"))
	left, err := filepath.Glob(filepath.Join(out, "*"))
	require.NoError(t, err)
	require.Len(t, left, 2, "and no temporary file is left")

	status, _, list = quoin(t, "", "convert", filepath.Join(dir, "new.xjdf"), "--to", "xjdf")
	require.Equal(t, statusFailed, status)
	require.Contains(t, list, "name a --version")
}

// The list on the terminal has a line for each cause; the report has each place.
func TestConvertFoldsItsList(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"losses.json", "losses.txt"} {
		status, _, list := quoin(t, oldOrder, "convert", "-", "--to", "xjdf", "--report", filepath.Join(dir, name))
		require.Equal(t, statusClean, status, list)
		require.Contains(t, list, "convert/lost-attribute, 1 times: JDF/@MaxVersion: a ticket names only its own version")
		require.Regexp(t, `1 file: \d+ elements and attributes carried as they were, \d+ in another way, \d+ lost\n$`, list)
	}
	data, err := os.ReadFile(filepath.Join(dir, "losses.json"))
	require.NoError(t, err)
	var report struct {
		Changed, Lost int
		Items         []struct{ Outcome, Name, Reason string }
	}
	require.NoError(t, json.Unmarshal(data, &report))
	require.Len(t, report.Items, report.Changed+report.Lost)
	lines, err := os.ReadFile(filepath.Join(dir, "losses.txt"))
	require.NoError(t, err)
	require.Equal(t, len(report.Items), strings.Count(string(lines), "\n"))
	status, _, list := quoin(t, oldOrder, "convert", "-", "--to", "xjdf", "--format", "json")
	require.Equal(t, statusClean, status)
	require.True(t, json.Valid([]byte(list)))
}

// What is kept comes home.
func TestConvertKeep(t *testing.T) {
	status, there, _ := quoin(t, oldOrder, "convert", "-", "--to", "xjdf", "--keep")
	require.Equal(t, statusClean, status)
	require.Contains(t, there, `jdf:MaxVersion="1.6"`)
	status, back, _ := quoin(t, there, "convert", "-", "--to", "jdf", "--keep")
	require.Equal(t, statusClean, status)
	require.Contains(t, back, `MaxVersion="1.6"`)
}

// The tickets that the plan writes for the machines are clean in both
// generations, there and back.
func TestDeviceTicketsConvertClean(t *testing.T) {
	dir := t.TempDir()
	tickets, tree, again := filepath.Join(dir, "a"), filepath.Join(dir, "b"), filepath.Join(dir, "c")
	status, _, errs := quoin(t, "", "plan", leaflet, "--plant", saltmarsh, "--out", tickets)
	require.Equal(t, statusClean, status, errs)
	for _, step := range [][3]string{{tickets, "jdf", tree}, {tree, "xjdf", again}} {
		status, _, errs := quoin(t, "", "convert", step[0], "--to", step[1], "--out", step[2])
		require.Equal(t, statusClean, status, errs)
		status, text, _ := quoin(t, "", "validate", step[2], "--fail-on", "warning")
		require.Equal(t, statusClean, status, text)
	}
}

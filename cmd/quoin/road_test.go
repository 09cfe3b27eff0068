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

// A ticket converts there and back and says the same; what is lost is told.
func TestConvert(t *testing.T) {
	out := filepath.Join(t.TempDir(), "xjdf")
	losses := filepath.Join(t.TempDir(), "losses.json")
	status, _, list := quoin(t, "", "convert", programme, "--to", "xjdf", "--split", "product", "--out", out, "--report", losses)
	require.Equal(t, statusClean, status, list)
	require.Contains(t, list, "convert/changed")
	require.FileExists(t, losses)
	files, err := filepath.Glob(filepath.Join(out, "*.xjdf"))
	require.NoError(t, err)
	require.Len(t, files, 1)
	status, text, _ := quoin(t, "", "validate", files[0])
	require.Equal(t, statusClean, status, text)

	status, text, _ = quoin(t, "", "diff", programme, files[0])
	require.Equal(t, statusClean, status, text)

	status, ticket, _ := quoin(t, "", "convert", files[0], "--to", "jdf", "--version", "1.5")
	require.Equal(t, statusClean, status)
	require.Contains(t, ticket, `Version="1.5"`)
	status, text, _ = quoin(t, ticket, "diff", programme, "-")
	require.Equal(t, statusClean, status, text)

	for _, args := range [][]string{
		{leaflet}, {leaflet, "--to", "pdf"}, {leaflet, "--to", "jdf", "--version", "9.9"},
		{leaflet, "--to", "jdf", "--version", "x"}, {leaflet, "--to", "jdf", "--split", "half"},
	} {
		status, _, errs := quoin(t, "", append([]string{"convert"}, args...)...)
		require.Equal(t, statusFailed, status, "%v", args)
		require.NotEmpty(t, errs)
	}
	status, _, _ = quoin(t, "", "convert", refused+"x", "--to", "jdf")
	require.Equal(t, statusFailed, status)
}

func TestDiff(t *testing.T) {
	ticket, err := os.ReadFile(leaflet)
	require.NoError(t, err)
	changed := strings.Replace(string(ticket), `Amount="20000"`, `Amount="25000"`, 1)
	status, text, _ := quoin(t, changed, "diff", leaflet, "-")
	require.Equal(t, statusFindings, status)
	require.Contains(t, text, "25")
	status, text, _ = quoin(t, changed, "diff", "--format", "json", leaflet, "-")
	require.Equal(t, statusFindings, status)
	require.True(t, json.Valid([]byte(text)))
	status, _, _ = quoin(t, "", "diff", leaflet)
	require.Equal(t, statusFailed, status)
}

func TestSchedule(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "week.svg")
	args := []string{"schedule", leaflet, programme, "--plant", saltmarsh, "--now", "2026-03-09T06:00:00Z"}
	status, first, errs := quoin(t, "", append(args, "--picture", picture)...)
	require.Equal(t, statusClean, status, errs)
	require.Contains(t, first, "SPW-1041")
	require.FileExists(t, picture)
	_, again, _ := quoin(t, "", args...)
	require.Equal(t, first, again)
	status, text, _ := quoin(t, "", append(args, "--format", "json")...)
	require.Equal(t, statusClean, status)
	require.True(t, json.Valid([]byte(text)))
	status, _, _ = quoin(t, "", "schedule", leaflet, "--plant", saltmarsh, "--now", "tomorrow")
	require.Equal(t, statusFailed, status)
	status, text, _ = quoin(t, "", "schedule", impossible, "--plant", saltmarsh)
	require.Equal(t, statusFindings, status, text)
}

// One tree or a ticket a machine: both are fit for use.
func TestPlanAsJDF(t *testing.T) {
	out := t.TempDir()
	status, _, errs := quoin(t, "", "plan", programme, "--plant", saltmarsh, "--out", out, "--as", "jdf")
	require.Equal(t, statusClean, status, errs)
	trees, err := filepath.Glob(filepath.Join(out, "*.jdf"))
	require.NoError(t, err)
	require.Len(t, trees, 1)
	status, text, _ := quoin(t, "", "validate", trees[0])
	require.Equal(t, statusClean, status, text)
	status, _, _ = quoin(t, "", "plan", programme, "--plant", saltmarsh, "--out", out, "--as", "pdf")
	require.Equal(t, statusFailed, status)
}

func TestProfile(t *testing.T) {
	status, text, _ := quoin(t, "", "validate", "--profile", "base-1", programme)
	require.Contains(t, []int{statusClean, statusFindings}, status)
	require.Contains(t, text, "schema/profile-")
	status, _, errs := quoin(t, "", "validate", "--profile", "base-77", programme)
	require.Equal(t, statusFailed, status)
	require.Contains(t, errs, "base-77")
}

// What stands in the way of one ticket is told, and does not hide the others.
func TestOthersGoOn(t *testing.T) {
	status, out, errs := quoin(t, "", "validate", "absent.xjdf", refused)
	require.Equal(t, statusFailed, status)
	require.Contains(t, errs, "absent.xjdf")
	require.Contains(t, out, "ref/duplicate-id")

	status, out, errs = quoin(t, "", "schedule", impossible, leaflet, "--plant", saltmarsh)
	require.Equal(t, statusFindings, status)
	require.Contains(t, errs, "1 of 2 tickets")
	require.Contains(t, out, "SPW-1041")
}

func TestShowsMessages(t *testing.T) {
	status, out, _ := quoin(t, "", "show", demo+"returned/playbill-stitch.xjmf")
	require.Equal(t, statusClean, status)
	require.Contains(t, out, "Signal Status: sender \"stitcher-1\", id \"s3\"")
	require.Contains(t, out, "  phase: stopped, device \"stitcher-1\"")
}

func TestNothingReported(t *testing.T) {
	status, out, _ := quoin(t, "", "collect", leaflet, "--plant", saltmarsh)
	require.Equal(t, statusClean, status)
	require.Contains(t, out, "Nothing was reported")
}

// A broken file is no difference, and a package no malformed ticket.
func TestNotTickets(t *testing.T) {
	status, _, _ := quoin(t, "<XJDF", "diff", leaflet, "-")
	require.Equal(t, statusFailed, status)
	zip := filepath.Join(t.TempDir(), "order.zip")
	write(t, zip, "PK\x05\x06"+strings.Repeat("\x00", 18))
	for _, command := range [][]string{{"show"}, {"diff", leaflet}, {"convert", "--to", "jdf"}, {"plan", "--plant", saltmarsh}} {
		status, _, errs := quoin(t, "", append(command, zip)...)
		require.Equal(t, statusFailed, status, command)
		require.Contains(t, errs, "is a package")
	}
}

func TestFlagsAreLookedAt(t *testing.T) {
	for _, args := range [][]string{
		{"validate", "--only", "plant", leaflet}, {"validate", "--max-findings", "-1", leaflet},
		{"validate", "--include", "[", demo}, {"plan", leaflet}, {"collect", leaflet}, {"schedule", leaflet},
		{"convert", leaflet}, {"show"}, {"diff", leaflet},
	} {
		status, _, errs := quoin(t, "", args...)
		require.Equal(t, statusFailed, status, args)
		require.Contains(t, errs, "quoin: ")
	}
}

// The counts do not depend on how many findings are shown.
func TestCountsWithoutCap(t *testing.T) {
	last := func(args ...string) string {
		_, out, _ := quoin(t, "", append([]string{"validate"}, args...)...)
		lines := strings.Split(strings.TrimSpace(out), "\n")
		counts, _, _ := strings.Cut(lines[len(lines)-1], " (")
		return counts
	}
	whole := last(refused)
	for _, most := range []string{"0", "1", "2", "5"} {
		require.Equal(t, whole, last("--max-findings", most, refused))
	}
}

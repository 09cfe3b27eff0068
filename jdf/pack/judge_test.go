package pack

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"quoin/testdata/standard"
)

// tool finds a program of the machine that is not ours, to compare with. The
// project needs none of them.
func tool(t *testing.T, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		require.Empty(t, os.Getenv("CI"), "CI needs %s", name)
		t.Skipf("%s is not on this machine: not compared with it", name)
	}
	return path
}

func run(t *testing.T, dir, program string, args ...string) string {
	t.Helper()
	cmd := exec.Command(program, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return string(out)
}

func openFile(t *testing.T, path string) *Package {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	p, problems := open(t, data, Limits{})
	require.Empty(t, problems)
	return p
}

func names(p *Package) []string {
	var all []string
	for _, part := range p.Parts {
		all = append(all, part.Name)
	}
	return all
}

func samples() []*Part {
	return []*Part{
		NewPart("job.xjdf", "job@x.example", "application/vnd.cip4-xjdf+xml", []byte("<XJDF/>\n")),
		NewPart("art/ä & b.pdf", "art@x.example", "application/pdf", bytes.Repeat([]byte("%PDF\r\n\x00\xff="), 500)),
	}
}

// Source: the zip and unzip programs of the distribution.
func TestZIPAgainstZipAndUnzip(t *testing.T) {
	dir := t.TempDir()
	t.Run("theirs", func(t *testing.T) {
		program := tool(t, "zip")
		require.NoError(t, os.Mkdir(filepath.Join(dir, "art"), 0o700))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "job.xjdf"), []byte(strings.Repeat("<XJDF/>", 99)), 0o600))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "art/a.pdf"), []byte("%PDF-1.7"), 0o600))
		run(t, dir, program, "-r", "theirs.zip", "job.xjdf", "art")
		p := openFile(t, filepath.Join(dir, "theirs.zip"))
		require.Equal(t, []string{"job.xjdf", "art/a.pdf"}, names(p))
		require.Equal(t, "%PDF-1.7", read(t, p.Parts[1]))
	})
	t.Run("a link of theirs", func(t *testing.T) {
		program := tool(t, "zip")
		require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(dir, "link")))
		run(t, dir, program, "-y", "link.zip", "link")
		data, err := os.ReadFile(filepath.Join(dir, "link.zip"))
		require.NoError(t, err)
		_, problems := open(t, data, Limits{})
		require.Equal(t, "link", codes(problems))
	})
	t.Run("ours", func(t *testing.T) {
		program := tool(t, "unzip")
		var out bytes.Buffer
		require.NoError(t, WriteZIP(&out, samples()))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "ours.zip"), out.Bytes(), 0o600))
		run(t, dir, program, "-t", "ours.zip")
		require.Contains(t, run(t, dir, program, "-l", "ours.zip"), "job.xjdf")
		require.Equal(t, "<XJDF/>\n", run(t, dir, program, "-p", "ours.zip", "job.xjdf"))
	})
}

// Source: zipfile of the Python library.
func TestZIPAgainstPython(t *testing.T) {
	python := tool(t, "python3")
	dir := t.TempDir()
	run(t, dir, python, "-c", `
import zipfile
z = zipfile.ZipFile("theirs.zip", "w", zipfile.ZIP_DEFLATED)
z.writestr("job.xjdf", "<XJDF/>" * 99)
z.writestr("art/ä b.pdf", b"%PDF-1.7", zipfile.ZIP_STORED)
z.close()
s = zipfile.ZipFile("bzip2.zip", "w", zipfile.ZIP_BZIP2)
s.writestr("a", "b")
s.close()`)
	p := openFile(t, filepath.Join(dir, "theirs.zip"))
	require.Equal(t, []string{"job.xjdf", "art/ä b.pdf"}, names(p))
	require.Equal(t, strings.Repeat("<XJDF/>", 99), read(t, p.Parts[0]))
	data, err := os.ReadFile(filepath.Join(dir, "bzip2.zip"))
	require.NoError(t, err)
	_, problems := open(t, data, Limits{})
	require.Equal(t, "method", codes(problems))

	var out bytes.Buffer
	require.NoError(t, WriteZIP(&out, samples()))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ours.zip"), out.Bytes(), 0o600))
	listed := run(t, dir, python, "-c", `
import json, zipfile
z = zipfile.ZipFile("ours.zip")
assert z.testzip() is None
print(json.dumps([[i.filename, z.read(i).hex()] for i in z.infolist()]))`)
	requireParts(t, listed, samples())
}

// requireParts holds a JSON list of names and bytes in hexadecimal against parts.
func requireParts(t *testing.T, listed string, want []*Part) {
	t.Helper()
	var got [][]string
	require.NoError(t, json.Unmarshal([]byte(listed), &got))
	require.Len(t, got, len(want))
	for i, part := range want {
		require.Equal(t, part.Name, got[i][0])
		require.Equal(t, hexText(read(t, part)), got[i][1])
	}
}

func hexText(s string) string {
	const digits = "0123456789abcdef"
	var out strings.Builder
	for _, c := range []byte(s) {
		out.WriteByte(digits[c>>4])
		out.WriteByte(digits[c&15])
	}
	return out.String()
}

// Source: email of the Python library, and of the samples the published
// message that submits a ticket by cid:.
func TestMIMEAgainstPython(t *testing.T) {
	python := tool(t, "python3")
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, "m.jmf"), submission(t), 0o600))
	run(t, dir, python, "-c", `
from email.mime.multipart import MIMEMultipart
from email.mime.application import MIMEApplication
from email.encoders import encode_quopri
from email import policy
m = MIMEMultipart("related", type="application/vnd.cip4-jmf+xml")
def add(data, kind, cid, name, **how):
    p = MIMEApplication(data, kind, **how)
    p["Content-ID"] = "<" + cid + ">"
    p.add_header("Content-Disposition", "attachment", filename=name)
    m.attach(p)
add(open("m.jmf", "rb").read(), "vnd.cip4-jmf+xml", "JMF1@hostname.com", "m.jmf")
add(b"<JDF/>\n" * 50, "vnd.cip4-jdf+xml", "JDF1@hostname.com", "j.jdf", _encoder=encode_quopri)
add(bytes(range(256)) * 20, "pdf", "art@hostname.com", "gr\u00fcn.pdf")
open("lf.mime", "wb").write(m.as_bytes())
open("crlf.mime", "wb").write(m.as_bytes(policy=policy.SMTP))`)
	for _, name := range []string{"lf.mime", "crlf.mime"} {
		p := openFile(t, filepath.Join(dir, name))
		require.Equal(t, []string{"m.jmf", "j.jdf", "grün.pdf"}, names(p))
		ticket, ok := p.Find(p.Root, "cid:JDF1@hostname.com")
		require.True(t, ok)
		require.Equal(t, strings.Repeat("<JDF/>\n", 50), strings.ReplaceAll(read(t, ticket), "\r", ""))
		require.EqualValues(t, 256*20, p.Parts[2].Size)
		require.Equal(t, string(submission(t)), read(t, p.Root))
	}

	parts := samples()
	parts[0].Encoding = quotedPrintable
	var out bytes.Buffer
	require.NoError(t, WriteMIME(&out, parts))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "ours.mime"), out.Bytes(), 0o600))
	listed := run(t, dir, python, "-c", `
import email, json
from email import policy
m = email.message_from_bytes(open("ours.mime", "rb").read(), policy=policy.default)
assert m.get_content_type() == "multipart/related" and not m.defects, m.defects
assert m.get_param("start") == "<job@x.example>", m.get_param("start")
parts = list(m.iter_parts())
assert [p["Content-ID"] for p in parts] == ["<job@x.example>", "<art@x.example>"]
print(json.dumps([[p.get_filename(), p.get_payload(decode=True).hex()] for p in parts]))`)
	requireParts(t, listed, parts)
}

// submission is the published message that names a ticket of its package, or,
// away from the standard, one of the same form.
func submission(t *testing.T) []byte {
	if dir, ok := standard.Find(); ok {
		data, err := os.ReadFile(filepath.Join(dir, "jdf/samples/building/mimeMultipartRelatedJMF.jdf"))
		require.NoError(t, err)
		require.Contains(t, string(data), "cid:JDF1@hostname.com")
		return data
	}
	return []byte(`<JMF><QueueSubmissionParams URL="cid:JDF1@hostname.com"/></JMF>`)
}

//go:build unix

package main

import (
	"context"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"

	"pulsewright/lang/confine"

	"github.com/rogpeppe/go-internal/txtar"
)

// hostileLimits are small, so that what takes all it can get is done soon.
func hostileLimits() confine.Limits {
	l := confine.Default()
	l.Time, l.Memory, l.Output, l.File, l.Files, l.Count = time.Second, confine.LeastMemory, 1<<20, 1<<20, 4<<20, 20
	return l
}

// hostileScripts are those of testdata, and some that are too long to be written down.
func hostileScripts(t *testing.T) []txtar.File {
	archive, err := txtar.ParseFile(filepath.Join("testdata", "hostile.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	long := func(name, ends, text string) {
		archive.Files = append(archive.Files, txtar.File{Name: name, Data: []byte("# ends: " + ends + "\n" + text)})
	}
	long("long/brackets.star", "error: excessive nesting", "x = "+strings.Repeat("[", 500000)+strings.Repeat("]", 500000)+"\n")
	long("long/operators.star", "well or memory", "x = 1"+strings.Repeat(" + 1", 500000)+"\n")
	long("long/not.star", "error: excessive nesting or output", "x = "+strings.Repeat("not ", 500000)+"1\n")
	long("long/blocks.star", "error: excessive nesting", blocks(3000))
	long("long/one_line.star", "well or memory", "x = '"+strings.Repeat("x", 20<<20)+"'\n")
	long("long/zeros.star", "error: or well", strings.Repeat("\x00", 1<<20))
	return archive.Files
}

func blocks(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "if True:\n")
	}
	return b.String() + strings.Repeat(" ", n) + "pass\n"
}

// TestHostile runs every hostile script as a stranger's. None takes more than its limit, reaches what it must not, or shows how it broke.
func TestHostile(t *testing.T) {
	for _, f := range hostileScripts(t) {
		t.Run(f.Name, func(t *testing.T) {
			t.Parallel()
			hostile(t, f)
		})
	}
}

func hostile(t *testing.T, f txtar.File) {
	top := t.TempDir()
	dir, folder := filepath.Join(top, "scripts"), filepath.Join(top, "written")
	secrets := map[string]string{"scripts/secret.txt": "secret = 1\n", "scripts/secret.csv": "secret\n1\n", "outside.star": "x = 1 # secret\n", "outside.csv": "secret\n1\n"}
	os.Mkdir(dir, 0o700)
	os.Mkdir(folder, 0o700)
	for name, text := range secrets {
		os.WriteFile(filepath.Join(top, name), []byte(text), 0o600)
	}
	script := filepath.Join(dir, filepath.Base(f.Name))
	for link, to := range map[string]string{"scripts/pointer.star": "../outside.star", "written/pointer.csv": "../outside.csv", "written/link": ".."} {
		if err := os.Symlink(to, filepath.Join(top, link)); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Mkfifo(filepath.Join(folder, "pipe.csv"), 0o600); err != nil {
		t.Fatal(err)
	}
	os.WriteFile(script, f.Data, 0o600)

	l := hostileLimits()
	if !strings.HasPrefix(f.Name, "time/") {
		l.Time = time.Minute // something else stops it before that
	}
	l.Folder, l.Reads = folder, []string{dir}
	var out, errs strings.Builder
	v, err := confine.Run(context.Background(), l, confine.Job{Args: []string{"run", "--untrusted", script}, Out: &out, Err: &errs, Env: []string{"LANG=C.UTF-8"}})
	if err != nil {
		t.Fatal(err)
	}
	ends, _, _ := strings.Cut(strings.TrimPrefix(string(f.Data), "# ends: "), "\n")
	if !endsSo(ends, v, errs.String()) {
		t.Errorf("%s exit %d after %v with %d MiB, want the end: %s\n%.600s", v, v.Code, v.Wall, v.Peak>>20, ends, errs.String())
	}
	var here syscall.Rusage // the system begins to count with what this process has
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &here); err != nil {
		t.Fatal(err)
	}
	const program = 32 << 20 // what the system counts beside a limit on data: the pages of the program itself
	if v.Peak > max(l.Memory+program, int64(here.Maxrss)<<10) || v.Wall > l.Time+5*time.Second || int64(out.Len()+errs.Len()) > l.Output {
		t.Errorf("it took %d MiB, %v, and printed %d bytes", v.Peak>>20, v.Wall, out.Len()+errs.Len())
	}
	said := out.String() + errs.String()
	for _, bad := range []string{"goroutine", "runtime error", ".go:", "secret\n1"} {
		if strings.Contains(said, bad) {
			t.Errorf("%q was printed: %.600s", bad, said)
		}
	}
	if i := strings.IndexFunc(said, func(r rune) bool {
		return r != '\n' && r != '\t' && unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp)
	}); i >= 0 {
		t.Errorf("%q would drive a terminal", said[i:min(len(said), i+20)])
	}
	for name, text := range secrets {
		if now, err := os.ReadFile(filepath.Join(top, name)); err != nil || string(now) != text {
			t.Errorf("%s was changed: %q, %v", name, now, err)
		}
	}
	checkWritten(t, top, folder, l)
}

// endsSo says whether a script has ended in one of the ways it may.
func endsSo(ends string, v confine.Verdict, errs string) bool {
	for _, end := range strings.Split(ends, " or ") {
		message, isError := strings.CutPrefix(end, "error:")
		switch {
		case isError && v.Why == confine.Ended && v.Code == 1 && strings.Contains(errs, strings.TrimSpace(message)):
			return true
		case end == "well" && v.Why == confine.Ended && v.Code == 0, v.Why != confine.Ended && end == string(v.Why):
			return true
		}
	}
	return false
}

// checkWritten: there is nothing new but in the one folder, and there no more than may be, whole.
func checkWritten(t *testing.T, top, folder string, l confine.Limits) {
	files, bytes := 0, int64(0)
	filepath.WalkDir(top, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		if filepath.Dir(path) == folder {
			files++
			bytes += info.Size()
			if info.Size() > l.File {
				t.Errorf("%s has %d bytes", path, info.Size())
			}
		} else if name := filepath.Base(path); strings.Contains(name, "owned") {
			t.Errorf("%s was written", path)
		}
		return nil
	})
	// They are looked at fifty times a second; where all is slow, some more are written before the process is ended.
	if most := l.Count + 3 + 40; files > most || bytes > l.Files+16*l.File {
		t.Errorf("%d files, %s", files, fmt.Sprint(bytes, " bytes"))
	}
}

// TestText: a text is run, and there is what it printed, errors among it, and a verdict.
func TestText(t *testing.T) {
	l := hostileLimits()
	for text, want := range map[string]string{
		"print(6 * 7)":         "42\n  0",
		"print(1)\nfail('no')": "1\n<stdin>:2:5: fail: no\n    fail('no')\n        ^\n  1",
		"while True: pass":     "<stdin>:1:7: interrupted at 0.0.0\n    while True: pass\n          ^\n stopped: it ran longer than 1s 1",
		"export('quay.csv')":   "<stdin>:1:7: export: there is no folder to write to here\n    export('quay.csv')\n          ^\n  1",
	} {
		out, v, err := confine.Text(context.Background(), l, text)
		got := fmt.Sprintf("%s %s %d", out, v, v.Code)
		if rest, ok := strings.CutSuffix(got, "1\n  1"); ok && strings.HasPrefix(rest, "<stdin>") {
			got = "1\n" + rest + "  1" // output and errors come through two pipes: either may be read first
		}
		if err != nil || got != want {
			t.Errorf("%s: %q, %v, want %q", text, got, err, want)
		}
	}
}

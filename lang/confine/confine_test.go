package confine

import (
	"context"
	"fmt"
	"math"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"
)

// TestMain makes this test binary the command that is run once more: what it does then its first argument says.
func TestMain(m *testing.M) {
	if in := Enter(); in != nil {
		os.Exit(deed(in, os.Args[1:]))
	}
	os.Exit(m.Run())
}

// deed is what a script could do at worst if it got past the language.
func deed(in *Inside, args []string) int {
	switch args[0] {
	case "files":
		return files(in, args[1:])
	case "memory":
		var hold [][]byte
		for {
			b := make([]byte, 8<<20)
			for i := range b {
				b[i] = 1
			}
			hold = append(hold, b)
			if len(hold) > 1<<30 { // never, but nothing is thrown away
				fmt.Println(hold)
			}
		}
	case "large":
		fmt.Println(len(make([]byte, min(int64(64)<<30, math.MaxInt))))
	case "time":
		for {
			runtime.Gosched()
		}
	case "output":
		for {
			fmt.Println(strings.Repeat("pier ", 200))
		}
	case "errors":
		for {
			fmt.Fprintln(in.Err, strings.Repeat("pier ", 200))
		}
	case "panic":
		panic("the crane fell")
	case "many":
		for i := range 1000 {
			os.WriteFile(filepath.Join(in.Folder, fmt.Sprint(i)), []byte("x"), 0o600)
			time.Sleep(time.Millisecond)
		}
	case "growing":
		f, _ := os.Create(filepath.Join(in.Folder, "growing"))
		for range 64 {
			if _, err := f.Write(make([]byte, 1<<20)); err != nil {
				fmt.Println("a write failed")
				return 0
			}
		}
	case "echo":
		text, _ := os.ReadFile(args[1])
		fmt.Fprint(in.Err, "said ")
		fmt.Print(string(text))
		return 3
	}
	return 0
}

// files says what of all that is forbidden has worked.
func files(in *Inside, outside []string) int {
	worked := func(what string, err error) {
		if err == nil {
			fmt.Println(what)
		}
	}
	_, err := os.ReadFile(outside[0])
	worked("read a file", err)
	_, err = os.ReadDir(filepath.Dir(outside[0]))
	worked("read a folder", err)
	worked("changed a file", os.Truncate(outside[0], 0))
	worked("removed a file", os.Remove(outside[0]))
	worked("moved a file", os.Rename(outside[0], filepath.Join(in.Folder, "mine")))
	worked("linked a file", os.Link(outside[0], filepath.Join(in.Folder, "mine")))
	worked("wrote a file", os.WriteFile(filepath.Join(filepath.Dir(outside[0]), "new"), nil, 0o600))
	worked("made a folder", os.Mkdir(filepath.Join(in.Folder, "new"), 0o700))
	worked("wrote where it may only read", os.WriteFile(filepath.Join(outside[1], "new"), nil, 0o600))
	_, err = os.ReadFile("/etc/passwd")
	worked("read the users", err)
	worked("ran a program", exec.Command("/bin/true").Run())
	conn, err := net.Dial("tcp", outside[2])
	worked("called by the network", err)
	if err == nil {
		conn.Close()
	}
	parent, _ := os.FindProcess(os.Getppid())
	worked("signalled another process", ask(parent))
	_, err = os.ReadFile(filepath.Join(outside[1], "quay.star"))
	worked("loaded", err)
	worked("wrote", os.WriteFile(filepath.Join(in.Folder, "new"), nil, 0o600))
	worked("replaced", os.Rename(filepath.Join(in.Folder, "new"), filepath.Join(in.Folder, "old")))
	return 0
}

func small() Limits {
	l := Default()
	l.Time, l.Memory, l.Output, l.File, l.Files, l.Count = 2*time.Second, LeastMemory, 1<<20, 1<<20, 4<<20, 20
	return l
}

func do(t *testing.T, l Limits, args ...string) (string, string, Verdict) {
	t.Helper()
	var out, errs strings.Builder
	v, err := Run(context.Background(), l, Job{Args: args, Out: &out, Err: &errs})
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), errs.String(), v
}

// TestLimits: what takes too much is stopped, for the reason it was, and has taken no more than its limit.
func TestLimits(t *testing.T) {
	l := small()
	l.Folder = t.TempDir()
	for what, want := range map[string]Reason{"memory": Memory, "large": Memory, "time": Time, "output": Output, "errors": Output, "panic": Crash, "many": Files, "growing": Ended} {
		l.Time = time.Minute // something else stops it before that
		if what == "time" {
			l.Time = 2 * time.Second
		}
		out, errs, v := do(t, l, what)
		if v.Why != want || (v.Code != 0) != (want != Ended) {
			t.Errorf("%s: %q (%s), exit %d, want %q", what, v.Why, v, v.Code, want)
		}
		if len(Missing()) > 0 {
			t.Logf("this system does not hold everything: %q", Missing())
		}
		if v.Peak > l.Memory {
			t.Errorf("%s took %d MiB of memory", what, v.Peak>>20)
		}
		if v.Wall > l.Time+patience+3*time.Second {
			t.Errorf("%s took %v", what, v.Wall)
		}
		if n := int64(len(out) + len(errs)); n > l.Output || want == Output && n < l.Output {
			t.Errorf("%s printed %d bytes", what, n)
		}
		if strings.Contains(out+errs, "goroutine") {
			t.Errorf("%s shows a crash: %s", what, errs)
		}
	}
	if h := survey(l.Folder); h.files > l.Count+40 || h.bytes > l.Files { // files are counted every 20 ms, and one takes 1 ms
		t.Errorf("%d files, %d bytes", h.files, h.bytes)
	}
	if info, err := os.Stat(filepath.Join(l.Folder, "growing")); err != nil || info.Size() > l.File {
		t.Errorf("one file: %v, %v", info, err)
	}
}

// TestFence: nothing is read but what may be, nothing written but in the one folder, and nobody else is reached.
func TestFence(t *testing.T) {
	there, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer there.Close()
	outside, reads := filepath.Join(t.TempDir(), "secret"), t.TempDir()
	for _, file := range []string{outside, filepath.Join(reads, "quay.star")} {
		if err := os.WriteFile(file, []byte("text"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	l := small()
	l.Reads = []string{reads}
	for _, folder := range []string{"", t.TempDir()} {
		l.Folder = folder
		want := "loaded\n"
		if folder != "" {
			want += "wrote\nreplaced\n"
		}
		out, _, v := do(t, l, "files", outside, reads, there.Addr().String())
		if v.Why != Ended || out != want && len(Missing()) == 0 {
			t.Errorf("with the folder %q: %s what worked: %q, want %q", folder, v, out, want)
		}
	}
	if text, err := os.ReadFile(outside); len(Missing()) == 0 && string(text) != "text" {
		t.Errorf("%q, %v", text, err)
	}
}

// TestJob: streams and exit code come through, and what calls it off ends it.
func TestJob(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "quay")
	os.WriteFile(file, []byte("by the quay"), 0o600)
	l := small()
	l.Reads = []string{dir}
	if out, errs, v := do(t, l, "echo", file); out != "by the quay" || errs != "said " || v.Code != 3 || v.String() != "" {
		t.Errorf("%q, %q, %+v", out, errs, v)
	}
	ctx, cancel := context.WithTimeout(context.Background(), 100*time.Millisecond)
	defer cancel()
	v, err := Run(ctx, l, Job{Args: []string{"time"}, Out: os.Stdout, Err: os.Stderr})
	if err != nil || v.Why != Cancel || v.Wall > 100*time.Millisecond+patience+3*time.Second {
		t.Errorf("%+v, %v", v, err)
	}
	l.Memory = 1 << 20
	if _, err := Run(context.Background(), l, Job{}); err == nil || !strings.Contains(err.Error(), "1 MiB of memory are too few, want at least 256 MiB") {
		t.Error(err)
	}
}

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestLicences makes the licences anew: of every module of which a package is linked, on any of the systems we build for, and of Go itself.
func TestLicences(t *testing.T) {
	dirs := map[string]string{}
	for _, system := range []string{"linux", "darwin", "windows", "freebsd"} {
		list := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", ".")
		list.Env = append(os.Environ(), "GOOS="+system)
		out, err := list.Output()
		if err != nil {
			t.Fatal(err)
		}
		for line := range strings.Lines(string(out)) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				dirs[name] = dir
			}
		}
	}
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	dirs["Go, its standard library and runtime"] = strings.TrimSpace(string(root))
	var names []string
	for name := range dirs {
		names = append(names, name)
	}
	slices.Sort(names)
	var b bytes.Buffer
	b.WriteString("The licences of all that is linked into pulsewright. The project itself has none yet.\n")
	for _, name := range names {
		text := licenceIn(t, dirs[name])
		fmt.Fprintf(&b, "\n%s\n%s\n\n%s\n", name, strings.Repeat("-", len(name)), text)
	}
	if *update {
		if err := os.WriteFile("licences.txt", b.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	} else if b.String() != licences {
		t.Errorf("licences.txt is not what the list of %d modules says; look at it, then: go test ./cmd/pulsewright -run TestLicences -update", len(names))
	}
	if len(names) < 10 {
		t.Errorf("only %q", names)
	}
}

// licenceIn is the text of the licence, and of the notice if there is one, in the folder of a module.
func licenceIn(t *testing.T, dir string) string {
	var texts []string
	for _, pattern := range []string{"LICEN[CS]E*", "COPYING*", "NOTICE*"} {
		files, _ := filepath.Glob(filepath.Join(dir, pattern))
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			texts = append(texts, strings.TrimSpace(strings.ReplaceAll(string(text), "\r\n", "\n")))
		}
	}
	if len(texts) == 0 {
		t.Errorf("no licence in %s", dir)
	}
	return strings.Join(texts, "\n\n")
}

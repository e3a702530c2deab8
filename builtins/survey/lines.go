package survey

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"slices"

	"pulsewright/builtins"
)

// Lines are JSON Lines in a file of work that is done in portions: first the plan of the whole and which portion this is, then a line for each
// unit of work that is done. The file only ever grows by whole lines; one that was cut off in the middle is dropped when the portion goes on.
// Every line begins with a sum of what follows in it and of the line before, so that no line can be changed, lost, repeated or moved unseen.
type Lines struct{ sum string }

// sumLength is how many hexadecimal digits a sum has.
const sumLength = 16

// Write writes a value as the next line.
func (f *Lines) Write(w io.Writer, v any) error {
	b, err := json.Marshal(v)
	if err != nil {
		return err
	}
	f.sum = sumOf(f.sum, b)
	_, err = fmt.Fprintf(w, `{"sum":"%s",%s`+"\n", f.sum, b[1:])
	return err
}

// sumOf is the sum of a line, after that of the line before.
func sumOf(before string, payload []byte) string {
	sum := sha256.Sum256(slices.Concat([]byte(before), payload))
	return hex.EncodeToString(sum[:])[:sumLength]
}

// payload checks a line's sum and gives what it says.
func (f *Lines) payload(line []byte) ([]byte, bool) {
	rest, ok := bytes.CutPrefix(line, []byte(`{"sum":"`))
	if !ok || len(rest) < sumLength+2 || string(rest[sumLength:sumLength+2]) != `",` {
		return nil, false
	}
	sum, payload := string(rest[:sumLength]), append([]byte("{"), rest[sumLength+2:]...)
	if sumOf(f.sum, payload) != sum {
		return nil, false
	}
	f.sum = sum
	return payload, true
}

// Exactly reads a value that is written just as it would be written now.
func Exactly(payload []byte, v any) bool {
	in := json.NewDecoder(bytes.NewReader(payload))
	in.DisallowUnknownFields()
	if in.Decode(v) != nil {
		return false
	}
	again, err := json.Marshal(v)
	return err == nil && bytes.Equal(again, payload)
}

// Read reads a file: first takes its first line, each the others. They say what is wrong with it, "" if nothing is. what is the work that is
// done. Errors tell the file and the line.
func (f *Lines) Read(name, what string, data []byte, first func(payload []byte) string, each func(line int, payload []byte) string) error {
	lines := bytes.Split(data, []byte("\n"))
	if last := len(lines) - 1; len(lines[last]) > 0 {
		if bytes.HasPrefix(lines[0], []byte(`{"sum":"`)) {
			return fmt.Errorf("%s:%d: it breaks off in the middle of a line: run that portion again to finish it", name, last+1)
		}
	} else {
		lines = lines[:last]
	}
	if len(lines) == 0 {
		return fmt.Errorf("%s:1: this is no portion of a %s: the file is empty", name, what)
	}
	for i, line := range lines {
		wrong := ""
		payload, ok := f.payload(line)
		switch {
		case ok && i == 0:
			wrong = first(payload)
		case ok:
			wrong = each(i+1, payload)
		case i == 0 && !bytes.HasPrefix(line, []byte(`{"sum":"`)):
			wrong = fmt.Sprintf("this is no portion of a %s, as run --portion of this version writes it", what)
		case i == 0:
			wrong = "the plan was changed after it was written: run the portion again"
		case bytes.Contains(line, []byte(`,"portion":`)):
			wrong = "another plan begins here: each portion has a file of its own"
		default:
			wrong = "it was not written after the line before: something was changed, lost, moved or put in; run the portion again"
		}
		if wrong != "" {
			return fmt.Errorf("%s:%d: %s", name, i+1, wrong)
		}
	}
	return nil
}

// Resume opens the file of a portion to go on with it. read is given the whole lines that are there; fresh: there are none.
func Resume(dir *os.Root, name string, read func(data []byte) error) (f *os.File, fresh bool, err error) {
	quoted := fmt.Sprintf("%q", name)
	data, err := readFile(dir, name)
	whole := bytes.LastIndexByte(data, '\n') + 1
	if begin := []byte(`{"sum":"`); whole == 0 && !bytes.HasPrefix(data, begin[:min(len(data), len(begin))]) {
		return nil, false, fmt.Errorf("%s is there, and is no such file; take another name", quoted)
	}
	data = data[:whole]
	if err == nil && len(data) > 0 {
		if err := read(data); err != nil {
			return nil, false, err
		}
	}
	if f, err = dir.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644); err != nil {
		return nil, false, fmt.Errorf("%s: %s", quoted, builtins.FileTrouble(err))
	}
	if err = f.Truncate(int64(len(data))); err == nil {
		_, err = f.Seek(int64(len(data)), io.SeekStart)
	}
	if err != nil {
		f.Close()
		return nil, false, fmt.Errorf("%s: %s", quoted, builtins.FileTrouble(err))
	}
	return f, len(data) == 0, nil
}

func readFile(dir *os.Root, name string) ([]byte, error) {
	f, err := dir.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

const (
	// historyLimit is the number of chunks remembered.
	historyLimit = 5000
	// historySlack is how many more the file may hold before it is written anew.
	historySlack = 500
)

// history is the chunks typed so far, oldest first, and the file that keeps them: one JSON string a line, so that a block
// comes back whole. A file that cannot be used costs one warning and nothing else.
type history struct {
	chunks []string
	draft  string       // one of them that was not run and is not in the file
	path   string       // "" when nothing is kept
	warn   func(string) // told once
}

// historyPath is where the state of the shell lives by the XDG convention.
func historyPath(getenv func(string) string) (string, error) {
	if dir := getenv("XDG_STATE_HOME"); filepath.IsAbs(dir) {
		return filepath.Join(dir, "pulsewright", "history"), nil
	}
	home := getenv("HOME")
	if home == "" {
		var err error
		if home, err = os.UserHomeDir(); err != nil {
			return "", err
		}
	}
	return filepath.Join(home, ".local", "state", "pulsewright", "history"), nil
}

// openHistory reads the newest chunks of the file at path. An empty path, as after err, keeps nothing beyond this session.
func openHistory(path string, err error, warn func(string)) *history {
	h := &history{path: path, warn: warn}
	if err == nil && path != "" {
		err = h.load()
	}
	if err != nil {
		h.giveUp(err)
	}
	return h
}

func (h *history) giveUp(err error) {
	h.path = ""
	h.warn(fmt.Sprintf("history is not kept: %v", err))
}

func (h *history) load() error {
	if err := os.MkdirAll(filepath.Dir(h.path), 0o700); err != nil {
		return err
	}
	f, err := h.open(os.O_RDWR | os.O_CREATE | os.O_APPEND)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s is no file", h.path)
	}
	if info.Mode().Perm()&0o077 != 0 {
		if err := f.Chmod(0o600); err != nil {
			return err
		}
	}
	in := bufio.NewReader(f)
	for {
		text, err := in.ReadBytes('\n')
		if err != nil && len(text) > 0 { // a line that was cut off: the next must not be part of it
			if _, err := f.WriteString("\n"); err != nil {
				return err
			}
		}
		var chunk string
		if json.Unmarshal(text, &chunk) == nil && chunk != "" { // a damaged line is passed over
			h.chunks = append(h.chunks, chunk)
		}
		if err != nil {
			break
		}
	}
	if n := len(h.chunks) - historyLimit; n > 0 {
		h.chunks = h.chunks[n:]
		if n > historySlack {
			return h.rewrite()
		}
	}
	return nil
}

// open opens the file itself, not one that a link in its place names.
func (h *history) open(flag int) (*os.File, error) {
	if info, err := os.Lstat(h.path); err == nil && info.Mode()&fs.ModeSymlink != 0 {
		return nil, fmt.Errorf("%s is a link", h.path)
	}
	return os.OpenFile(h.path, flag, 0o600)
}

// rewrite puts the remembered chunks, and no others, into the file: all of it or nothing.
func (h *history) rewrite() error {
	var all strings.Builder
	for _, chunk := range h.chunks {
		all.Write(encodeChunk(chunk))
	}
	return writeFile(h.path, all.String())
}

func encodeChunk(chunk string) []byte {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.Encode(chunk) // a string: no error
	return b.Bytes()
}

// add remembers a chunk, unless it is empty or the one before once more.
func (h *history) add(chunk string) {
	chunk = strings.TrimRight(chunk, " \n")
	if chunk == "" || len(h.chunks) > 0 && h.chunks[len(h.chunks)-1] == chunk && chunk != h.draft {
		return
	}
	h.chunks = append(h.chunks, chunk)
	if len(h.chunks) > historyLimit {
		h.chunks = h.chunks[1:]
	}
	if h.path == "" {
		return
	}
	f, err := h.open(os.O_WRONLY | os.O_APPEND | os.O_CREATE) // somebody may have cleared the history
	if err == nil {
		_, err = f.Write(encodeChunk(chunk)) // one write, so that two shells do not mix their lines
		err = errors.Join(err, f.Close())
	}
	if err != nil {
		h.giveUp(err)
	}
}

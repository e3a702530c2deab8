package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"pulsewright/lang"
)

// journalLimit is how many conversations are kept.
const journalLimit = 20

// journalFolder is where shells keep their journals: beside the history, a file for each, locked while its shell lives.
func journalFolder(getenv func(string) string) (string, error) {
	path, err := historyPath(getenv)
	return filepath.Join(filepath.Dir(path), "journals"), err
}

// journals are the files of the folder, the newest first.
func journals(dir string) (paths []string) {
	found, _ := filepath.Glob(filepath.Join(dir, "shell-*.jsonl"))
	times := map[string]int64{}
	for _, path := range found {
		if info, err := os.Lstat(path); err == nil && info.Mode().IsRegular() {
			paths, times[path] = append(paths, path), info.ModTime().UnixNano()
		}
	}
	slices.SortFunc(paths, func(a, b string) int { return int(max(-1, min(1, times[b]-times[a]))) })
	return paths
}

// newJournal makes the journal of this shell and forgets the oldest ones.
func newJournal(dir string) (*os.File, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, err
	}
	old := journals(dir)
	for _, path := range old[min(len(old), journalLimit-1):] {
		if f, err := os.Open(path); err == nil {
			if lock(f) {
				os.Remove(path)
			}
			f.Close()
		}
	}
	f, err := os.CreateTemp(dir, "shell-*.jsonl") // for its owner only
	if err == nil {
		lock(f)
	}
	return f, err
}

// lastJournal is the newest journal with something in it that no living shell writes.
func lastJournal(dir string) (past *lang.Past, path string, err error) {
	for _, path := range journals(dir) {
		f, err := os.Open(path)
		if err != nil {
			continue
		}
		var past *lang.Past
		if lock(f) {
			past, err = lang.ReadJournal(f)
		}
		f.Close()
		switch {
		case err != nil:
			return nil, "", fmt.Errorf("%s: %w", path, err)
		case past != nil && !past.Empty():
			return past, path, nil
		}
	}
	return nil, "", errors.New("there is no conversation to resume")
}

// toResume is the conversation that --resume asks for, and nil without it. Seed and folder become what they were in it.
func (a *app) toResume(seedGiven bool) (*lang.Past, string, error) {
	if !a.resume {
		return nil, "", nil
	}
	dir, err := journalFolder(a.getenv)
	if err != nil {
		return nil, "", failure{exitFailed, "--resume: " + err.Error()}
	}
	past, path, err := lastJournal(dir)
	if err != nil {
		return nil, "", failure{exitFailed, "--resume: " + err.Error()}
	}
	if seedGiven && a.seed != past.Seed {
		return nil, "", usage("--resume: the conversation was begun with --seed %d, got %d", past.Seed, a.seed)
	}
	a.seed = past.Seed
	here, _ := os.Getwd()
	if err := os.Chdir(past.Folder); err != nil {
		return nil, "", failure{exitFailed, "--resume: the folder of the conversation cannot be entered: " + past.Folder}
	}
	there, _ := os.Getwd()
	past.Moved = there != here
	return past, path, nil
}

// journalled has a session write its journal, and removes the old one once all of it is in there; done is to be called when the shell ends well.
func (a *app) journalled(s *lang.Session, old string) (done func()) {
	none := func() {}
	dir, err := journalFolder(a.getenv)
	if err != nil {
		return none
	}
	f, err := newJournal(dir)
	if err != nil {
		return none // the history has said that nothing can be kept
	}
	folder, _ := os.Getwd()
	if s.Journal(f, folder) && old != "" {
		os.Remove(old)
	}
	return func() {
		if !s.Said() {
			os.Remove(f.Name())
		}
		f.Close()
	}
}

// bringBack resumes a conversation in a session. old is its journal, if that holds nothing more than a new one would.
func (a *app) bringBack(s *lang.Session, past *lang.Past, path string, in lineReader) (old string, err error) {
	var all bool
	err = a.script(s, func(ctx context.Context) (err error) {
		all, err = s.Resume(ctx, past)
		return err
	})
	if err == nil {
		s.HandBack(past, in)
	}
	if err == nil && all {
		old = path
	}
	return old, err
}

package main

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"time"

	"pulsewright/lang/confine"
	"pulsewright/lang/lesson"
)

// lessonTime is how long somebody may take over a lesson of a stranger, if no limit says otherwise.
const lessonTime = 3 * time.Hour

// takeConfined takes a lesson in a process that takes no more than its limits. It writes its progress into a folder of its own; what was done in this lesson
// is fetched from there afterwards, or the next time, if this process is ended before that.
func (a *app) takeConfined(p *lesson.Progress, name string) error {
	paths := lessonFiles([]string{name})
	switch {
	case len(paths) > 0:
		name = lesson.NameOf(paths[0])
	case !slices.Contains(lesson.Course(), name):
		return noLesson(name)
	}
	state := ""
	if p.Path() != "" {
		state = filepath.Join(filepath.Dir(p.Path()), "untrusted", name)
	}
	kept := filepath.Join(state, "pulsewright", "lessons.json")
	job := confine.Job{In: a.in, Out: a.out, Err: a.err, Env: []string{"PAGER=cat"}}
	if state != "" {
		job.Env = append(job.Env, "XDG_STATE_HOME="+state)
		if err := errors.Join(p.Fetch(name, kept), p.Lend(kept)); err != nil {
			return failure{exitFailed, "lesson: " + err.Error()}
		}
	}
	if a.interactive() && a.raw != nil {
		job.Lent, job.Out, job.Err = true, a.out.w, a.err.w
		a.signals.passOver(true) // Ctrl-C is that of the other process
		defer a.signals.passOver(false)
		if err := a.raw.lend(); err != nil {
			return failure{exitFailed, err.Error()}
		}
		defer a.raw.restore()
	}
	err := a.confined(confine.Limits{Time: lessonTime, State: state}, paths, job)
	if state != "" {
		if err := p.Fetch(name, kept); err != nil {
			return failure{exitFailed, "lesson: " + err.Error()}
		}
		for _, path := range []string{kept, filepath.Dir(kept), state} {
			os.Remove(path) // a folder that holds something else stays
		}
	}
	return err
}

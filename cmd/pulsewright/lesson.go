package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"pulsewright/builtins/say"
	"pulsewright/lang"
	"pulsewright/lang/lesson"

	"github.com/spf13/cobra"
)

func (a *app) lessonCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "lesson [NAME]",
		Short: "Take a lesson of the workshop's course",
		Long: `Lesson goes on with the course: the first lesson that is not done, at the question where it was left. With a NAME it takes that lesson;
a file of one's own will do. Each lesson asks what will happen before it does, runs it, compares and explains, and ends with an exercise.
On a pipe the answers are read from standard input, line by line. A lesson of a stranger runs code as any script does: --untrusted has it take no more
than its limits.`,
		Example: `  pulsewright lesson
  pulsewright lesson list
  pulsewright lesson ticks
  pulsewright lesson ./mine.star
  pulsewright lesson --untrusted theirs.star`,
		Args: operands(0, 1),
		RunE: func(c *cobra.Command, args []string) error {
			p, err := a.lessonProgress()
			if err != nil {
				return err
			}
			name := p.Next()
			if len(args) > 0 {
				name = args[0]
			}
			if name == "" {
				fmt.Fprintln(a.out, "All lessons of the course are done. pulsewright lesson list shows them; pulsewright lesson NAME takes one again.")
				return nil
			}
			if stays, err := a.staysInside(c); err != nil {
				return err
			} else if !stays {
				if len(args) == 0 {
					a.args = append(a.args, name)
				}
				return a.takeConfined(p, name)
			}
			return a.takeLesson(p, name)
		},
		ValidArgsFunction: func(c *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
			return withPrefix(lesson.Course(), word), cobra.ShellCompDirectiveDefault
		},
	}
	a.untrustedFlags(c)
	c.AddCommand(a.lessonList(), a.lessonNew(), a.lessonCheck(), a.lessonPrint(), a.lessonRecord(), a.lessonResults())
	return c
}

// lessonProgress is what the learner has done so far. A file that cannot be read is no reason not to learn.
func (a *app) lessonProgress() (*lesson.Progress, error) {
	path, err := historyPath(a.getenv)
	if err != nil {
		a.says(fmt.Sprintf("progress is not kept: %v", err))
		path = ""
	} else {
		path = filepath.Join(filepath.Dir(path), "lessons.json")
	}
	p, err := lesson.Load(path)
	if err != nil {
		return nil, failure{exitFailed, fmt.Sprintf("lesson: %v; move it away to begin anew", err)}
	}
	return p, nil
}

// readLesson finds a lesson: of the course, or a file.
func (a *app) readLesson(ctx context.Context, name string) (*lesson.Lesson, error) {
	course := lesson.Course()
	var l *lesson.Lesson
	var err error
	if slices.Contains(course, name) {
		l, err = lesson.Embedded(ctx, a.config(), name)
	} else if path := ownLesson(name); path != "" {
		l, err = lesson.FromFile(ctx, a.config(), path)
	} else {
		return nil, noLesson(name)
	}
	var told *lang.Error
	switch {
	case errors.As(err, &told): // reported already
		return nil, failure{code: exitFailed}
	case err != nil:
		return nil, failure{exitFailed, "lesson: " + err.Error()}
	}
	return l, nil
}

func noLesson(name string) error {
	course := lesson.Course()
	words := append([]string{"check", "list", "new", "print", "record", "results"}, course...)
	return usage("lesson: there is no lesson %q, and no such file; want one of %s, or a file%s", name, oneOf(course), meant(name, words, ""))
}

// ownLesson is the file of a lesson of one's own, named with its ending or without; "" if there is none.
func ownLesson(name string) string {
	for _, path := range []string{name, name + ".star"} {
		if info, err := os.Stat(path); err == nil && !info.IsDir() {
			return path
		}
	}
	return ""
}

func (a *app) takeLesson(p *lesson.Progress, name string) error {
	ctx, done := a.command()
	l, err := a.readLesson(ctx, name)
	done()
	if err != nil {
		return err
	}
	w := &lesson.Walk{Lesson: l, Config: a.talking(), Context: a.command, Progress: p, Pause: a.interactive(),
		Rows: func() int { _, rows := size(a.out.w, a.width); return rows }}
	if i := slices.Index(lesson.Course(), name); i >= 0 {
		w.Nth, w.Of = i+1, len(lesson.Course())
	} else if p.Lessons[l.Name] == nil && a.untrusted.inside == nil {
		fmt.Fprintln(a.out, "a lesson from a file runs its code with your rights; if a stranger wrote it: pulsewright lesson --untrusted "+name)
	}
	again := "pulsewright lesson"
	if a.untrusted.inside != nil {
		again += " --untrusted"
	}
	if a.interactive() {
		in, err := a.lineReader(w.Complete, false)
		if err != nil {
			return failure{exitFailed, err.Error()}
		}
		defer in.Close()
		w.In = in
		a.signals.wait(true)
	} else {
		w.In = newPlainReader(a.in, io.Discard, a.signals.idle)
	}
	err = w.Run()
	switch {
	case err == nil && w.Nth > 0 && p.Next() != "":
		fmt.Fprintf(a.out, "next: %s %s\n", again, p.Next())
	case err == lesson.ErrLeft:
		fmt.Fprintf(a.out, "left; all is kept. %s %s goes on here\n", again, name)
		err = nil
	}
	if err != nil {
		return failure{exitFailed, "lesson: " + err.Error()}
	}
	return nil
}

func (a *app) lessonList() *cobra.Command {
	return &cobra.Command{
		Use: "list", Short: "List the lessons and how far you are", Args: operands(0, 0),
		Example: `  pulsewright lesson list`,
		RunE: func(c *cobra.Command, args []string) error {
			p, err := a.lessonProgress()
			if err != nil {
				return err
			}
			ctx, done := a.command()
			defer done()
			minutes := 0
			for i, name := range lesson.Course() {
				l, err := a.readLesson(ctx, name)
				if err != nil {
					return err
				}
				minutes += l.Minutes
				far := howFar(p.Lessons[name], len(l.Questions()))
				fmt.Fprintln(a.out, strings.TrimRight(fmt.Sprintf("%2d  %-11s  %-46s %3d min  %s", i+1, name, l.Title, l.Minutes, far), " "))
			}
			fmt.Fprintf(a.out, "about %d minutes in all\n", minutes)
			if others := p.Others(); len(others) > 0 {
				fmt.Fprintf(a.out, "begun besides, from files: %s\n", say.OneLine(strings.Join(others, ", ")))
			}
			return nil
		},
	}
}

// howFar says how far a lesson is done.
func howFar(m *lesson.Marks, of int) string {
	right, wrong, _, _, _ := m.Counts()
	switch {
	case m == nil || !m.Begun:
		return ""
	case m.Done:
		return fmt.Sprintf("done, %d of %d right", right, of)
	}
	return fmt.Sprintf("%d of %d answered", right+wrong, of)
}

func (a *app) lessonNew() *cobra.Command {
	return &cobra.Command{
		Use: "new NAME", Short: "Write the beginnings of a lesson of your own", Args: operands(1, 1),
		Long: `New writes NAME.star, a small lesson that shows all there is: change it as you like. The guide has the form:
pulsewright guide lessons.`,
		Example: `  pulsewright lesson new buoys`,
		RunE: func(c *cobra.Command, args []string) error {
			path := args[0]
			if !strings.HasSuffix(path, ".star") {
				path += ".star"
			}
			if name := strings.TrimSuffix(filepath.Base(path), ".star"); slices.Contains(lesson.Course(), name) {
				return usage("lesson new: %s is a lesson of the course; want another name", name)
			}
			f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
			switch {
			case errors.Is(err, fs.ErrExist):
				return usage("lesson new: %s is there already; want another name", path)
			case err != nil:
				return failure{exitFailed, "lesson new: " + err.Error()}
			}
			_, err = f.WriteString(lesson.Template)
			if err := errors.Join(err, f.Close()); err != nil {
				return failure{exitFailed, "lesson new: " + err.Error()}
			}
			fmt.Fprintf(a.out, "wrote %s; pulsewright lesson check %s tries it, pulsewright lesson %s takes it\n", path, path, path)
			return nil
		},
	}
}

func (a *app) lessonCheck() *cobra.Command {
	c := &cobra.Command{
		Use: "check FILE…", Short: "Go through lessons with nobody there", Args: operands(1, -1),
		Long: `Check runs all that lessons show, gives every answer, tries that solutions pass, that what is foreseen as wrong does not and is told
what it is to be told, and that nobody passes without doing anything.`,
		Example: `  pulsewright lesson check mine.star
  pulsewright lesson check --untrusted theirs.star`,
		RunE: func(c *cobra.Command, args []string) error {
			if done, err := a.outside(c, lessonFiles(args)); done {
				return err
			}
			failed := false
			for _, name := range args {
				ctx, done := a.command()
				l, err := a.readLesson(ctx, name)
				if err != nil {
					done()
					return err
				}
				complaints := lesson.Check(ctx, l, a.config())
				done()
				for _, text := range complaints {
					fmt.Fprintln(a.out, text)
				}
				if failed = failed || len(complaints) > 0; len(complaints) == 0 {
					fmt.Fprintf(a.out, "%s: %d items, %d questions: all well\n", name, len(l.Items), len(l.Questions()))
				}
			}
			if failed {
				return failure{code: exitFailed}
			}
			return nil
		},
	}
	a.untrustedFlags(c)
	return c
}

// lessonFiles are the files of lessons that are no lessons of the course.
func lessonFiles(names []string) (paths []string) {
	for _, name := range names {
		if path := ownLesson(name); path != "" && !slices.Contains(lesson.Course(), name) {
			paths = append(paths, path)
		}
	}
	return paths
}

func (a *app) lessonPrint() *cobra.Command {
	var solutions, html bool
	c := &cobra.Command{
		Use: "print NAME", Short: "Print a handout of a lesson", Args: operands(1, 1),
		Long: `Print writes a lesson down to hand out, as Markdown or as a page of HTML with pictures, with room for answers; with --solutions what
happened, why, and how the exercises can be done.`,
		Example: `  pulsewright lesson print ticks > ticks.md
  pulsewright lesson print ticks --html --solutions > ticks.html
  pulsewright lesson print --untrusted theirs.star > theirs.md`,
		RunE: func(c *cobra.Command, args []string) error {
			if done, err := a.printOutside(c, args); done {
				return err
			}
			ctx, done := a.command()
			defer done()
			l, err := a.readLesson(ctx, args[0])
			if err != nil {
				return err
			}
			write := lesson.Markdown
			if html {
				write = lesson.HTML
			}
			if err := write(ctx, a.out, l, a.config(), solutions); err != nil {
				return failure{exitFailed, "lesson print: " + err.Error()}
			}
			return nil
		},
	}
	c.Flags().BoolVar(&solutions, "solutions", false, "with what happened, and how the exercises can be done")
	c.Flags().BoolVar(&html, "html", false, "a page of HTML instead of Markdown")
	a.untrustedFlags(c)
	return c
}

// printOutside lends a stranger's lesson a folder while it is printed, for its pictures; it is thrown away.
func (a *app) printOutside(c *cobra.Command, names []string) (done bool, err error) {
	if u := &a.untrusted; u.on && u.inside == nil {
		if u.folder != "" {
			return true, usage("lesson print: no --writes here: what a lesson writes while it is printed is thrown away")
		}
		if u.folder, err = os.MkdirTemp("", "handout"); err != nil {
			return true, failure{exitFailed, "--untrusted: " + err.Error()}
		}
		defer os.RemoveAll(u.folder)
	}
	return a.outside(c, lessonFiles(names))
}

func (a *app) lessonRecord() *cobra.Command {
	return &cobra.Command{
		Use: "record", Short: "Print what you have done, to hand in", Args: operands(0, 0),
		Long:    `Record prints your progress in all lessons. A teacher puts the files of a class into one sheet with lesson results.`,
		Example: `  pulsewright lesson record > anna.json`,
		RunE: func(c *cobra.Command, args []string) error {
			p, err := a.lessonProgress()
			if err != nil {
				return err
			}
			return p.Write(a.out)
		},
	}
}

func (a *app) lessonResults() *cobra.Command {
	asCSV := false
	c := &cobra.Command{
		Use: "results FILE…", Short: "Put the results of a class into one sheet", Args: operands(1, -1),
		Long: `Results reads what learners have handed in with lesson record, and shows for each of them and each lesson how many questions were right at
the first answer or passed, of how many that were answered or skipped, and the hints that took.`,
		Example: `  pulsewright lesson results anna.json bo.json
  pulsewright lesson results --csv class/*.json > sheet.csv`,
		RunE: func(c *cobra.Command, files []string) error {
			sheet := lesson.NewSheet()
			for _, file := range files {
				if _, err := os.Stat(file); err != nil {
					return usage("lesson results: %s: no such file; lesson record writes them", file)
				}
				p, err := lesson.Load(file)
				if err != nil {
					return failure{exitFailed, "lesson results: " + err.Error()}
				}
				sheet.Add(strings.TrimSuffix(filepath.Base(file), ".json"), p)
			}
			if asCSV {
				return sheet.CSV(a.out)
			}
			columns := 0
			if a.out.terminal {
				columns, _ = size(a.out.w, a.width)
			}
			sheet.Text(a.out, columns)
			return nil
		},
	}
	c.Flags().BoolVar(&asCSV, "csv", false, "as CSV, for a spreadsheet")
	return c
}

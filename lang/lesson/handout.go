package lesson

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"io"
	"os"
	"path/filepath"
	"strings"

	"pulsewright/builtins/picture"
	"pulsewright/builtins/say"
	"pulsewright/lang"
	"pulsewright/lang/steplog"
)

// block is a piece of a handout.
type block struct {
	kind  string // "title", "about", "text", "code", "picture", "question", "choice", "room", "solution"
	text  string
	drawn string // of a picture: the SVG
}

// Markdown writes a lesson down to be handed out: with room for the answers, or with solutions.
func Markdown(ctx context.Context, w io.Writer, l *Lesson, cfg lang.Config, solutions bool) error {
	blocks, err := handout(ctx, l, cfg, solutions)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	for _, x := range blocks {
		if x.kind != "code" && x.kind != "picture" {
			x.text = plainly(x.text)
		}
		switch x.kind {
		case "title":
			fmt.Fprintf(&b, "# %s\n\n", x.text)
		case "about":
			fmt.Fprintf(&b, "*%s*\n\n", x.text)
		case "code", "picture":
			fmt.Fprintf(&b, "```\n%s\n```\n\n", x.text)
		case "question":
			fmt.Fprintf(&b, "**%s**\n\n", strings.ReplaceAll(x.text, "\n\n", "**\n\n**"))
		case "choice":
			fmt.Fprintf(&b, "- [ ] %s\n", x.text)
		case "room":
			fmt.Fprintf(&b, "\n%s: ______________________________\n\n", x.text)
		default:
			fmt.Fprintf(&b, "%s\n\n", x.text)
		}
	}
	_, err = w.Write(b.Bytes())
	return err
}

// plainly is a text for Markdown; what stands in backquotes is code, all else is read as it stands.
func plainly(text string) string {
	pieces := strings.Split(text, "`")
	for i := range pieces {
		if i%2 == 0 || i == len(pieces)-1 {
			pieces[i] = strings.NewReplacer("\\", "\\\\", "*", "\\*", "_", "\\_", "<", "&lt;", "[", "\\[").Replace(pieces[i])
		}
	}
	return strings.Join(pieces, "`")
}

const page = `<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>%s</title>
<style>
:root { color-scheme: light dark; }
body { max-width: 46em; margin: 2em auto; padding: 0 1em; font: 1em/1.5 system-ui, sans-serif; }
pre { overflow-x: auto; padding: .7em; border: 1px solid; border-radius: 4px; line-height: 1.25; }
figure { margin: 1em 0; overflow-x: auto; }
svg { max-width: 100%%; height: auto; }
.question { font-weight: bold; border-top: 1px solid; padding-top: 1em; }
.room { border-bottom: 1px solid; height: 3em; }
.solution { border-left: 4px solid; padding-left: .8em; }
@media print { body { margin: 0; max-width: none; } pre { white-space: pre-wrap; } pre, figure { break-inside: avoid; } .question { break-after: avoid; } }
</style></head><body><main>
`

// HTML writes a lesson down as one page that needs nothing else, with its pictures in it.
func HTML(ctx context.Context, w io.Writer, l *Lesson, cfg lang.Config, solutions bool) error {
	blocks, err := handout(ctx, l, cfg, solutions)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, page, html.EscapeString(l.Title))
	for i, x := range blocks {
		text := coded(x.text)
		switch x.kind {
		case "title":
			fmt.Fprintf(&b, "<h1>%s</h1>\n", text)
		case "code": // by keyboard, too, what is too wide can be moved
			fmt.Fprintf(&b, "<pre tabindex=\"0\">%s</pre>\n", html.EscapeString(x.text))
		case "picture":
			fmt.Fprintf(&b, "<figure>%s</figure>\n", picture.Inline(x.drawn, fmt.Sprint("picture", i)))
		case "choice":
			fmt.Fprintf(&b, "<p class=\"choice\">&#9633; %s</p>\n", text)
		case "room":
			fmt.Fprintf(&b, "<p>%s:</p><div class=\"room\"></div>\n", text)
		default:
			fmt.Fprintf(&b, "<p class=\"%s\">%s</p>\n", x.kind, strings.ReplaceAll(text, "\n\n", "<br><br>"))
		}
	}
	b.WriteString("</main></body></html>\n")
	_, err = w.Write(b.Bytes())
	return err
}

// coded is a text for HTML; what stands in backquotes is code.
func coded(text string) string {
	var b strings.Builder
	for i, piece := range strings.Split(html.EscapeString(text), "`") {
		switch {
		case i == 0:
		case i%2 == 1:
			b.WriteString("<code>")
		default:
			b.WriteString("</code>")
		}
		b.WriteString(piece)
	}
	if strings.Count(text, "`")%2 == 1 {
		b.WriteString("</code>")
	}
	return b.String()
}

// handout runs the lesson and cuts what there is to be read into blocks.
func handout(ctx context.Context, l *Lesson, cfg lang.Config, solutions bool) (blocks []block, err error) {
	dir, remove, err := scratch(cfg)
	if err != nil {
		return nil, err
	}
	defer remove()
	var out bytes.Buffer
	cfg.Dir, cfg.Out, cfg.Err, cfg.OutPalette, cfg.ErrPalette, cfg.Fold, cfg.Width, cfg.Page = dir, &out, io.Discard, steplog.Palette{}, steplog.Palette{}, false, nil, nil
	d := newDesk(cfg)
	defer d.close()
	put := func(kind, text string) {
		if text = strings.Trim(text, "\n"); text != "" {
			blocks = append(blocks, block{kind: kind, text: text})
		}
	}
	shown := func() string {
		defer out.Reset()
		return out.String()
	}
	put("title", l.Title)
	put("about", aboutOf(l))
	n, of := 0, len(l.Questions())
	for i := range l.Items {
		it := &l.Items[i]
		if it.IsQuestion() {
			n++
			put("question", fmt.Sprintf("Question %d of %d. %s", n, of, it.Text))
		}
		switch it.Kind {
		case Say:
			for para := range strings.SplitSeq(it.Text, "\n\n") {
				put("text", para)
			}
		case Show:
			if it.Hidden {
				if solutions {
					unseen(it, put)
				}
				continue
			}
			if err := d.at(ctx, l.Items[:i]); err != nil {
				return nil, err
			}
			drawn := *it
			drawn.Picture = ""
			if err := d.show(ctx, &drawn); err != nil {
				return nil, err
			}
			put("code", shown())
			if it.Picture != "" {
				b, err := drawing(ctx, d, it.Picture, dir)
				if err != nil {
					return nil, err
				}
				b.text = strings.Trim(shown(), "\n")
				blocks = append(blocks, b)
			}
		case Predict:
			err = predicted(ctx, l, i, d, put, shown, solutions)
		case Exercise:
			var b block
			if b, err = asked(ctx, d, it, dir, put, solutions); b.kind != "" {
				blocks = append(blocks, b)
			}
			out.Reset()
			if solutions {
				put("solution", "One way to do it:")
				put("code", it.Solutions[0])
				put("solution", it.Right)
			} else {
				put("room", "Notes")
			}
		}
		if err != nil {
			return nil, err
		}
	}
	return blocks, nil
}

// asked is what an exercise begins with, and its picture.
func asked(ctx context.Context, d *desk, it *Item, dir string, put func(kind, text string), solutions bool) (b block, err error) {
	if it.Hidden {
		if solutions {
			unseen(it, put)
		}
		return b, nil
	}
	put("code", it.Code)
	return found(ctx, d, it, dir)
}

// found draws the bench with which an exercise begins, if anything stands on it.
func found(ctx context.Context, d *desk, it *Item, dir string) (b block, err error) {
	if it.Code == "" {
		return b, nil
	}
	if err := d.anew(); err != nil {
		return b, err
	}
	if err := d.unseen(ctx, it); err != nil {
		return b, err
	}
	if err := d.quiet(func() error { return d.session.Exec(ctx, "lesson", "if not parts(): fail()") }); err != nil {
		return b, ctx.Err()
	}
	var text bytes.Buffer
	was := d.out.w
	d.out.w = &text
	b, err = drawing(ctx, d, "map", dir)
	d.out.w = was
	b.text = strings.Trim(text.String(), "\n")
	return b, err
}

// scratch is a folder for pictures. A stranger's lesson has one already, and may write nowhere else.
func scratch(cfg lang.Config) (dir string, remove func(), err error) {
	if cfg.Untrusted {
		return cfg.Dir, func() {}, nil
	}
	dir, err = os.MkdirTemp("", "handout")
	return dir, func() { os.RemoveAll(dir) }, err
}

// aboutOf says how long a lesson takes, and what it is about if it says so.
func aboutOf(l *Lesson) string {
	about := "About " + say.Count(l.Minutes, "minute")
	if l.About != "" {
		about += ": " + l.About
	}
	return about
}

// unseen is what a learner does not see, for the teacher.
func unseen(it *Item, put func(kind, text string)) {
	if it.Code != "" {
		put("solution", "What was done unseen:")
		put("code", it.Code)
	}
}

// predicted is a question about what will happen.
func predicted(ctx context.Context, l *Lesson, i int, d *desk, put func(kind, text string), shown func() string, solutions bool) error {
	it := &l.Items[i]
	for _, c := range it.Choices {
		put("choice", c)
	}
	if !solutions {
		put("code", it.Code)
		put("room", "I predict")
		return nil
	}
	if err := d.at(ctx, l.Items[:i]); err != nil {
		return err
	}
	if err := d.run(ctx, it, it.Code); err != nil {
		return err
	}
	put("code", shown())
	got, err := d.given(ctx, it)
	if err != nil {
		return err
	}
	put("solution", "It is "+got+".")
	if err := d.run(ctx, it, it.Why); err != nil {
		return err
	}
	put("code", shown())
	return nil
}

// drawing is the bench as it stands: as a text, which is shown, and as an SVG.
func drawing(ctx context.Context, d *desk, what, dir string) (block, error) {
	if err := d.session.Command(ctx, what+"()"); err != nil {
		return block{}, err
	}
	const file = "drawn.svg"
	err := d.quiet(func() error { return d.session.Command(ctx, fmt.Sprintf("export(%q, what=%q, over=True)", file, what)) })
	if err != nil {
		return block{}, err
	}
	svg, err := os.ReadFile(filepath.Join(dir, file))
	return block{kind: "picture", drawn: string(svg)}, err
}

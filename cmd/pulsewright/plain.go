package main

import (
	"bufio"
	"io"
	"strings"

	"pulsewright/lang"
)

// plainReader reads lines from a terminal that understands no escapes: no editing beyond the system's own.
type plainReader struct {
	out         io.Writer
	lines       chan string // closed at the end of the input
	interrupted <-chan struct{}
}

func newPlainReader(in io.Reader, out io.Writer, interrupted <-chan struct{}) *plainReader {
	p := &plainReader{out: out, lines: make(chan string), interrupted: interrupted}
	go func() {
		defer close(p.lines)
		r := bufio.NewReader(in)
		for {
			text, err := r.ReadString('\n')
			if text != "" {
				p.lines <- strings.TrimRight(text, "\r\n")
			}
			if err != nil {
				return
			}
		}
	}()
	return p
}

// ReadLine shows the prompt and waits for a line. The prefill is not shown: it could not be taken back.
func (p *plainReader) ReadLine(prompt, _ string) (string, error) {
	select {
	case <-p.interrupted: // an old one
	default:
	}
	io.WriteString(p.out, prompt)
	select {
	case text, ok := <-p.lines:
		if !ok {
			io.WriteString(p.out, "\n")
			return "", io.EOF
		}
		return text, nil
	case <-p.interrupted:
		io.WriteString(p.out, "\n")
		return "", lang.ErrInterrupt
	}
}

// Close does nothing: the reading goroutine ends with the process.
func (p *plainReader) Close() {}

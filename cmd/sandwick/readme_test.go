// The README's sessions are run: every `$ ` line in a fenced block that calls
// the program must print what the README shows.

package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// cut stands in the README for lines left out.
const cut = "..."

func TestREADME(t *testing.T) {
	repository, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(repository, "README.md")
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	// The commands find the repository's files and may write new ones.
	dir := t.TempDir()
	for _, name := range []string{"testdata"} {
		if err := os.CopyFS(filepath.Join(dir, name), os.DirFS(filepath.Join(repository, name))); err != nil {
			t.Fatal(err)
		}
	}
	t.Chdir(dir)
	sessions := sessionsOf(string(data))
	ran := 0
	updated := string(data)
	for _, s := range sessions {
		args, ours := programArgs(s.command)
		if !ours {
			continue
		}
		ran++
		var out bytes.Buffer
		p := testProgram(time.Date(2025, 7, 19, 11, 30, 0, 0, time.UTC))
		if status := p.run(context.Background(), args, strings.NewReader(""), &out, &out); status != exitDone {
			t.Errorf("README.md:%d: `%s`: exit status %d\n%s", s.line, s.command, status, out.String())
			continue
		}
		if s.shown == "" {
			continue // a command given without its output
		}
		if message := differ(s.shown, out.String()); message != "" {
			if os.Getenv(updateEnv) != "" {
				head := "$ " + s.command + "\n"
				updated = strings.Replace(updated, head+s.shown, head+renewed(s.shown, out.String()), 1)
				continue
			}
			t.Errorf("README.md:%d: `%s`: %s\ngot\n%s", s.line, s.command, message, out.String())
		}
	}
	if ran < 3 {
		t.Errorf("only %d commands of the program found in README.md", ran)
	}
	if updated != string(data) {
		if err := os.WriteFile(path, []byte(updated), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// renewed is what was printed, cut short where the README cuts it short: as many
// lines as are shown before the first line left out.
func renewed(shown, printed string) string {
	kept, _, short := strings.Cut(shown, cut+"\n")
	if !short {
		return printed
	}
	lines := strings.SplitAfter(printed, "\n")
	return strings.Join(lines[:min(strings.Count(kept, "\n"), len(lines))], "") + cut + "\n"
}

// session is one command of the README with the output shown under it.
type session struct {
	command, shown string
	line           int
}

func sessionsOf(text string) []session {
	sessions := []session{}
	fenced := false
	var current *session
	for i, line := range strings.SplitAfter(text, "\n") {
		bare := strings.TrimSuffix(line, "\n")
		switch {
		case strings.HasPrefix(bare, "```"):
			fenced, current = !fenced, nil
		case fenced && strings.HasPrefix(bare, "$ "):
			sessions = append(sessions, session{command: bare[2:], line: i + 1})
			current = &sessions[len(sessions)-1]
		case current != nil:
			current.shown += line
		}
	}
	return sessions
}

// programArgs are the arguments of a command line that calls the program; they
// are parted by spaces, and double quotes hold spaces together.
func programArgs(command string) (args []string, ours bool) {
	for _, name := range []string{"go run ./cmd/sandwick ", "sandwick "} {
		rest, ok := strings.CutPrefix(command, name)
		if !ok {
			continue
		}
		for i, part := range strings.Split(rest, `"`) {
			if i%2 == 1 {
				args = append(args, part)
			} else {
				args = append(args, strings.Fields(part)...)
			}
		}
		return args, true
	}
	return nil, false
}

// differ compares shown text, in which a line "..." stands for any lines, with
// what was printed; the answer is empty when they agree.
func differ(shown, printed string) string {
	rest := printed
	anchored := true
	for part := range strings.SplitSeq("\n"+shown, "\n"+cut+"\n") {
		part = strings.TrimPrefix(part, "\n")
		i := strings.Index(rest, part)
		switch {
		case i < 0 || anchored && i > 0:
			return fmt.Sprintf("these lines are not printed as shown:\n%s", part)
		}
		rest = rest[i+len(part):]
		anchored = false
	}
	if !strings.HasSuffix(shown, cut+"\n") && rest != "" {
		return fmt.Sprintf("more is printed than shown:\n%s", rest)
	}
	return ""
}

func TestDiffer(t *testing.T) {
	for _, tt := range []struct {
		shown, printed string
		same           bool
	}{
		{"a\nb\n", "a\nb\n", true},
		{"a\nb\n", "a\nc\n", false},
		{"a\n", "a\nb\n", false},
		{"a\n...\nd\n", "a\nb\nc\nd\n", true},
		{"a\n...\n", "a\nb\nc\n", true},
		{"...\nc\n", "a\nb\nc\n", true},
		{"a\n...\nx\n", "a\nb\nc\n", false},
		{"b\n...\n", "a\nb\nc\n", false},
	} {
		if message := differ(tt.shown, tt.printed); (message == "") != tt.same {
			t.Errorf("differ(%q, %q) = %q", tt.shown, tt.printed, message)
		}
	}
}

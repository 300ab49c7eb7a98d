// Broken farms: one change to the small farm, and every message it must bring.

package fields

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the messages found into testdata/broken.txt")

// broken is one case of testdata/broken.txt: a name, changes, and the messages
// wanted, doubts marked with "doubt: ". Texts have \n for a line's end.
type broken struct {
	name    string
	changes [][3]string // file, old, new
	want    []string
}

func readBroken(t *testing.T) (head string, cases []broken) {
	t.Helper()
	src, err := os.ReadFile("testdata/broken.txt")
	if err != nil {
		t.Fatal(err)
	}
	unescape := strings.NewReplacer(`\n`, "\n", `\t`, "\t")
	for i, line := range strings.Split(strings.TrimRight(string(src), "\n"), "\n") {
		key, rest, ok := strings.Cut(line, ": ")
		n := len(cases) - 1
		switch {
		case line == "":
		case strings.HasPrefix(line, "#"):
			head += line + "\n"
		case strings.HasPrefix(line, "case: "):
			cases = append(cases, broken{name: rest})
		case n < 0:
			t.Fatalf("broken.txt:%d: outside a case", i+1)
		case key == "in":
			cases[n].changes = append(cases[n].changes, [3]string{rest, "", ""})
		case key == "old" || key == "new":
			c := &cases[n].changes[len(cases[n].changes)-1]
			c[map[string]int{"old": 1, "new": 2}[key]] = unescape.Replace(rest)
		case key == "want":
			cases[n].want = append(cases[n].want, rest)
		case !ok && line == "old:" || line == "new:": // empty text
		default:
			t.Fatalf("broken.txt:%d: not understood: %s", i+1, line)
		}
	}
	return head, cases
}

func TestBrokenFarms(t *testing.T) {
	head, cases := readBroken(t)
	if len(cases) < 60 {
		t.Errorf("only %d broken farms", len(cases))
	}
	var out bytes.Buffer
	out.WriteString(head)
	escape := strings.NewReplacer("\n", `\n`, "\t", `\t`)
	for _, c := range cases {
		var changes []string
		fmt.Fprintf(&out, "\ncase: %s\n", c.name)
		for _, ch := range c.changes {
			changes = append(changes, ch[0], ch[1], ch[2])
			fmt.Fprintf(&out, "in: %s\nold: %s\nnew: %s\n", ch[0], escape.Replace(ch[1]), escape.Replace(ch[2]))
		}
		t.Run(c.name, func(t *testing.T) {
			f, problems := LoadFS(smallFarm(t, changes...))
			var got []string
			for _, p := range problems {
				got = append(got, p.Error())
			}
			if f != nil {
				for _, p := range f.Doubts {
					got = append(got, "doubt: "+p.Error())
				}
			}
			if len(got) == 0 {
				t.Error("nothing is said of it")
			}
			for _, g := range got {
				fmt.Fprintf(&out, "want: %s\n", escape.Replace(g))
			}
			if a, b := strings.Join(got, "\n"), strings.Join(c.want, "\n"); a != b && !*update {
				t.Errorf("got:\n%s\nwant:\n%s", a, b)
			}
		})
	}
	if *update {
		if err := os.WriteFile("testdata/broken.txt", out.Bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

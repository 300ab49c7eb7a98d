// Writers that are killed at random points, and many at once. The writers are
// this test binary run again.

package journal

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The environment that turns the test binary into a writer.
const (
	roleEnv  = "JOURNAL_TEST_ROLE" // "endless" or a number of additions
	dirEnv   = "JOURNAL_TEST_DIR"
	nameEnv  = "JOURNAL_TEST_NAME"
	deathEnv = "JOURNAL_TEST_DEATH" // kill itself after so many steps
)

func TestMain(m *testing.M) {
	if os.Getenv(roleEnv) != "" {
		writer()
		return
	}
	os.Exit(m.Run())
}

// writer adds rows and says of each, once it is confirmed, that it is.
func writer() {
	dir, name := os.Getenv(dirEnv), os.Getenv(nameEnv)
	times, err := strconv.Atoi(os.Getenv(roleEnv))
	endless := err != nil
	die := -1
	if s := os.Getenv(deathEnv); s != "" {
		die, _ = strconv.Atoi(s)
	}
	steps := 0
	dead := func() bool { steps++; return steps == die }
	f := faults{}
	if die >= 0 {
		f.at = func(string) {
			if dead() {
				kill()
			}
		}
		// Dies with a part written, as a machine does that loses its power.
		f.write = func(file *os.File, text []byte, at int64) (int, error) {
			if dead() {
				_, _ = file.WriteAt(text[:len(text)*(die%7)/7], at)
				kill()
			}
			return file.WriteAt(text, at)
		}
	}
	for i := 0; endless || i < times; i++ {
		j, err := open(context.Background(), dir, f)
		if err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		rows := fmt.Sprintf("%s,%d,a\n%s,%d,\"b, quoted\"\n", name, i, name, i)
		info, err := os.Stat(dir + "/" + book)
		if err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		mark := &Mark{Offset: int64(len("who,n,part\n")), Line: 1, of: stampOf(info)}
		if err := j.Append(book, "\n", rows, &Done{What: name, File: book, Rows: []string{strconv.Itoa(i)}}, mark); err != nil {
			fmt.Println("error", err)
			os.Exit(1)
		}
		j.Close()
		fmt.Println("ack", name, i)
	}
}

func kill() {
	p, err := os.FindProcess(os.Getpid())
	if err == nil {
		err = p.Kill()
	}
	if err != nil {
		panic(err)
	}
	select {}
}

func writerCommand(dir, role, name string, env ...string) *exec.Cmd {
	c := exec.Command(os.Args[0])
	c.Env = append(os.Environ(), roleEnv+"="+role, dirEnv+"="+dir, nameEnv+"="+name)
	c.Env = append(c.Env, env...)
	c.Stderr = os.Stderr
	return c
}

// acks reads what a writer said until it ended: the number of additions it
// confirmed. Its word is good only if the line is whole.
func acks(t *testing.T, r io.Reader, name string) int {
	t.Helper()
	in := bufio.NewReader(r)
	for n := 0; ; n++ {
		line, err := in.ReadString('\n')
		if err != nil {
			return n
		}
		if line != fmt.Sprintf("ack %s %d\n", name, n) {
			t.Fatalf("writer %s said %q", name, line)
		}
	}
}

// checkBook holds a book against what its writers confirmed: all of that, each
// once and in order; of each writer at most one addition more, whole or absent.
func checkBook(t *testing.T, text string, confirmed map[string]int) {
	t.Helper()
	rest, ok := strings.CutPrefix(text, "who,n,part\n")
	if !ok || rest != "" && !strings.HasSuffix(rest, "\n") {
		t.Fatalf("the book is torn: ...%q", text[max(0, len(text)-80):])
	}
	next := map[string]int{}
	lines := strings.SplitAfter(rest, "\n")
	lines = lines[:len(lines)-1]
	for i := 0; i < len(lines); i += 2 {
		who, _, _ := strings.Cut(lines[i], ",")
		n := next[who]
		if lines[i] != fmt.Sprintf("%s,%d,a\n", who, n) || i+1 == len(lines) || lines[i+1] != fmt.Sprintf("%s,%d,\"b, quoted\"\n", who, n) {
			t.Fatalf("line %d: %q after addition %d of %s", i+2, lines[i:min(i+2, len(lines))], n-1, who)
		}
		next[who]++
	}
	for who, n := range confirmed {
		if next[who] != n && next[who] != n+1 {
			t.Fatalf("%d additions of %s in the book, %d confirmed", next[who], who, n)
		}
	}
}

// Rounds of writers each of which is killed: half by SIGKILL from outside after
// a random delay, half by their own hand at a random step, most of these in
// the middle of a write.
func TestKilled(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("uses the signals of Unix")
	}
	rounds := 300
	if testing.Short() {
		rounds = 40
	}
	seed := uint64(20250719)
	rnd := rand.New(rand.NewPCG(seed, 1))
	dir := farm(t, "who,n,part\n")
	confirmed := map[string]int{}
	torn, total, parts := 0, 0, 0
	tested := func() bool { return torn > 0 && total >= rounds && parts > 0 }
	// Where death comes by the clock a slow machine may see no torn end in the
	// rounds it has: then it goes on until it has.
	for round := 0; round < rounds || !tested() && round < 10*rounds; round++ {
		name := fmt.Sprint("w", round)
		var env []string
		if round%2 == 0 {
			env = append(env, fmt.Sprintf("%s=%d", deathEnv, 1+rnd.IntN(60)))
		}
		c := writerCommand(dir, "endless", name, env...)
		out, err := c.StdoutPipe()
		if err == nil {
			err = c.Start()
		}
		if err != nil {
			t.Fatal(err)
		}
		if round%2 == 1 {
			time.AfterFunc(time.Duration(5000+rnd.IntN(20000))*time.Microsecond, func() { _ = c.Process.Kill() })
		}
		confirmed[name] = acks(t, out, name)
		total += confirmed[name]
		err = c.Wait()
		if ws, ok := c.ProcessState.Sys().(syscall.WaitStatus); !ok || !ws.Signaled() || ws.Signal() != syscall.SIGKILL {
			t.Fatalf("seed %d, round %d: the writer ended by itself: %v", seed, round, err)
		}
		if !strings.HasSuffix(get(t, dir, book), "\n") {
			torn++
		}
		// What a reader sees before anybody has mended anything.
		seen, err := fs.ReadFile(Settled(os.DirFS(dir)), book)
		if err != nil {
			t.Fatal(err)
		}
		checkBook(t, string(seen), confirmed)
		// So too by the mark, where there is one: all that follows it.
		if p, ok := ReadPart(dir, book); ok {
			parts++
			if got := string(p.Head) + string(p.Rest); got != string(seen) {
				t.Fatalf("seed %d, round %d: by the mark ...%q, a reader sees ...%q", seed, round, got[max(0, len(got)-80):], seen[max(0, len(seen)-80):])
			}
		}
	}
	if !tested() {
		t.Fatalf("seed %d: %d torn ends, %d read by the mark and %d confirmed additions in %d rounds: the test did not test", seed, torn, parts, total, rounds)
	}
	j, err := Open(context.Background(), dir) // mends the last
	if err != nil {
		t.Fatal(err)
	}
	j.Close()
	checkBook(t, get(t, dir, book), confirmed)
	t.Logf("%d rounds, %d confirmed additions, %d ends torn in the middle of a line", rounds, total, torn)
}

// Eight processes add at once, while a reader looks on.
func TestEightWriters(t *testing.T) {
	writers, each := 8, 400
	if testing.Short() {
		each = 50
	}
	dir := farm(t, "who,n,part\n")
	type result struct {
		name string
		n    int
		err  error
	}
	results := make(chan result)
	for w := range writers {
		name := fmt.Sprint("w", w)
		c := writerCommand(dir, strconv.Itoa(each), name)
		out, err := c.StdoutPipe()
		if err == nil {
			err = c.Start()
		}
		if err != nil {
			t.Fatal(err)
		}
		go func() {
			text, err := io.ReadAll(out)
			if err == nil {
				err = c.Wait()
			}
			results <- result{name, strings.Count(string(text), "ack "+name+" "), err}
		}()
	}
	confirmed := map[string]int{}
	looks := 0
	for len(confirmed) < writers {
		select {
		case r := <-results:
			if r.err != nil || r.n != each {
				t.Fatalf("%s: %d of %d confirmed, %v", r.name, r.n, each, r.err)
			}
			confirmed[r.name] = r.n
		case <-time.After(2 * time.Millisecond):
			text, err := fs.ReadFile(Settled(os.DirFS(dir)), book)
			if err != nil {
				t.Fatal(err)
			}
			checkBook(t, string(text), nil)
			looks++
		}
	}
	text := get(t, dir, book)
	checkBook(t, text, confirmed)
	if got, want := strings.Count(text, "\n"), 1+2*writers*each; got != want {
		t.Errorf("%d lines, want %d", got, want)
	}
	t.Logf("%d rows by %d writers, read %d times meanwhile", 2*writers*each, writers, looks)
}

// Every state in which a crash can leave the files: each step of an addition
// cut off after each byte, and the parts of a disk's blocks in any order.

package journal

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"
)

const book = "records/rain.csv"

// farm makes a farm folder with one book in it.
func farm(t testing.TB, text string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	put(t, dir, book, text)
	return dir
}

func put(t testing.TB, dir, name, text string) {
	t.Helper()
	path := filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func get(t testing.TB, dir, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func add(t testing.TB, dir, lineEnd, text string) {
	t.Helper()
	j, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := j.Append(book, lineEnd, text, &Done{File: book, Rows: []string{text}}, nil); err != nil {
		t.Fatal(err)
	}
}

const (
	header = "date,place,amount_in,note\n"
	first  = "2025-06-01,Heron,0.40,\"north, by the road\"\n"
	second = "2025-06-02,Heron,0.15,\n2025-06-02,Plover,0.20,\n"
)

// A crash after any byte of the intent or of the rows: what was confirmed
// stands, what was not is there whole or not at all, for readers at once and
// in the file after the next addition.
func TestCrashAfterEveryByte(t *testing.T) {
	old := header + first
	s := state{Intent: &intent{File: book, Offset: int64(len(old)), Text: []byte(second)}}
	whole := s.encode()
	check := func(what string, stateText []byte, bookText, want string) {
		t.Helper()
		dir := farm(t, bookText)
		put(t, dir, "records/"+stateFile, string(stateText))
		seen, err := fs.ReadFile(Settled(os.DirFS(dir)), book)
		if err != nil || string(seen) != want {
			t.Fatalf("%s: a reader sees %q (%v), want %q", what, seen, err, want)
		}
		add(t, dir, "\n", "2025-06-03,Heron,0.05,\n")
		if got, want := get(t, dir, book), want+"2025-06-03,Heron,0.05,\n"; got != want {
			t.Fatalf("%s: after the next addition\n%q, want\n%q", what, got, want)
		}
	}
	for n := range whole { // while the intent was written
		check(fmt.Sprintf("%d bytes of the intent", n), whole[:n], old, old)
	}
	for n := range len(second) - 1 { // while the rows were
		check(fmt.Sprintf("%d bytes of the rows", n), whole, old+second[:n], old)
		check(fmt.Sprintf("all but %d bytes of the rows", n), whole, old+strings.Repeat("\x00", n)+second[n:], func() string {
			if n == 0 {
				return old + second
			}
			return old
		}())
	}
	check("all rows", whole, old+second, old+second)
}

// A tail that lacks the end of its last line only is whole, whoever took the
// end away: readers see the row, and the next addition ends it first.
func TestOnlyTheLineEndIsMissing(t *testing.T) {
	for _, end := range []string{"\n", "\r\n", "\r"} {
		old, rows, third := strings.ReplaceAll(header+first, "\n", end), strings.ReplaceAll(second, "\n", end), "2025-06-03,Heron,0.05,"+end
		s := state{Intent: &intent{File: book, Offset: int64(len(old)), Text: []byte(rows)}}
		for n := 1; n <= len(end); n++ {
			left := old + rows[:len(rows)-n]
			dir := farm(t, left)
			put(t, dir, "records/"+stateFile, string(s.encode()))
			if seen, err := fs.ReadFile(Settled(os.DirFS(dir)), book); err != nil || string(seen) != left {
				t.Errorf("%q less %d: a reader sees %q (%v)", end, n, seen, err)
			}
			j, err := Open(context.Background(), dir)
			if err != nil {
				t.Fatal(err)
			}
			if len(j.Mended()) > 0 {
				t.Errorf("%q less %d: %q", end, n, j.Mended())
			}
			if err := errors.Join(j.Append(book, end, third, nil, nil), j.Close()); err != nil {
				t.Fatal(err)
			}
			if got, want := get(t, dir, book), old+rows+third; got != want {
				t.Errorf("%q less %d: got %q, want %q", end, n, got, want)
			}
		}
	}
}

// What was confirmed is a person's to change: a last row shortened by hand
// stays as it is, for the power may have failed since and the state on the disk
// is that of the confirmation.
func TestConfirmedRowShortenedByHand(t *testing.T) {
	old := header + first
	dir := farm(t, old)
	synced := "" // what a power failure after the confirmation leaves
	j, err := open(context.Background(), dir, faults{at: func(step string) {
		if step == "state on disk" {
			synced = get(t, dir, "records/"+stateFile)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(j.Append(book, "\n", second, &Done{File: book}, nil), j.Close()); err != nil {
		t.Fatal(err)
	}
	if s := decodeState([]byte(synced)); s.Intent != nil || len(s.Done) != 1 {
		t.Fatalf("confirmed with the state %+v", s)
	}
	for n := 1; n < len(second); n++ {
		put(t, dir, book, old+second[:n])
		put(t, dir, "records/"+stateFile, synced)
		if seen, err := fs.ReadFile(Settled(os.DirFS(dir)), book); err != nil || string(seen) != old+second[:n] {
			t.Fatalf("%d bytes: a reader sees %q (%v)", n, seen, err)
		}
		j, err := Open(context.Background(), dir)
		if err != nil {
			t.Fatal(err)
		}
		j.Close()
		if got := get(t, dir, book); got != old+second[:n] || len(j.Mended()) > 0 {
			t.Fatalf("%d bytes: got %q, %q", n, got, j.Mended())
		}
	}
}

// What a crash tore is moved into a file of its own, and the intent goes with it.
func TestMendedIsSettled(t *testing.T) {
	old := header + first
	s := state{Intent: &intent{File: book, Offset: int64(len(old)), Text: []byte(second)}}
	dir := farm(t, old+second[:30])
	put(t, dir, "records/"+stateFile, string(s.encode()))
	j, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	j.Close()
	if got := get(t, dir, book); got != old || len(j.Mended()) != 1 || !strings.Contains(j.Mended()[0], "moved to records/.torn") {
		t.Errorf("got %q, %q", got, j.Mended())
	}
	// What was cut off is kept, after what was kept before.
	if got, want := get(t, dir, "records/"+tornFile), "# records/rain.csv, 30 bytes:\n"+second[:30]+"\n"; got != want {
		t.Errorf("kept %q, want %q", got, want)
	}
	// The intent is gone with it: a part of a row by hand is nobody's tear.
	put(t, dir, book, old+second[:30])
	add(t, dir, "\n", first)
	if got, want := get(t, dir, book), old+second[:30]+"\n"+first; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	if got := get(t, dir, "records/"+tornFile); strings.Count(got, "#") != 1 {
		t.Errorf("kept %q", got)
	}
	put(t, dir, book, old+second[:9])
	put(t, dir, "records/"+stateFile, string(s.encode()))
	add(t, dir, "\n", first)
	if got := get(t, dir, "records/"+tornFile); strings.Count(got, "#") != 2 || !strings.HasSuffix(got, "9 bytes:\n"+second[:9]+"\n") {
		t.Errorf("kept %q", got)
	}
}

// What somebody else has put there since is not touched, whatever a stale
// intent says.
func TestStaleIntent(t *testing.T) {
	old := header + first
	s := state{Intent: &intent{File: book, Offset: int64(len(old)), Text: []byte(second)}}
	for _, text := range []string{
		old + second + "2025-06-04,Heron,1.0,by hand\n",
		old + "2025-06-02,Heron,0.16,\n", // the row was changed
		old,                              // or taken out
		header,                           // and another with it
		header + "2025-06-01,Heron,0.4,\n",
	} {
		dir := farm(t, text)
		put(t, dir, "records/"+stateFile, string(s.encode()))
		add(t, dir, "\n", "2025-06-05,Heron,0.1,\n")
		if got, want := get(t, dir, book), text+"2025-06-05,Heron,0.1,\n"; got != want {
			t.Errorf("got\n%s\nwant\n%s", got, want)
		}
	}
}

// A last line that an editor left without its end is complete: it stays.
func TestLastLineWithoutEnd(t *testing.T) {
	for _, end := range []string{"\n", "\r\n", "\r"} {
		text := strings.TrimSuffix(header+first, "\n")
		text = strings.ReplaceAll(text, "\n", end)
		dir := farm(t, text)
		add(t, dir, end, "2025-06-05,Heron,0.1,"+end)
		if got, want := get(t, dir, book), text+end+"2025-06-05,Heron,0.1,"+end; got != want {
			t.Errorf("%q: got %q, want %q", end, got, want)
		}
	}
}

// errDisk stands for any failure of the disk.
var errDisk = errors.New("no space left on device")

// A disk that takes only n bytes more: an error, and all files as before.
func TestDiskFull(t *testing.T) {
	old := header + first
	for n := 0; ; n += 3 {
		dir := farm(t, old)
		add(t, dir, "\n", second)
		left := n
		j, err := open(context.Background(), dir, faults{write: func(f *os.File, text []byte, at int64) (int, error) {
			k := min(left, len(text))
			left -= k
			if _, err := f.WriteAt(text[:k], at); err != nil {
				return 0, err
			}
			if k < len(text) {
				return k, errDisk
			}
			return k, nil
		}})
		if err != nil {
			t.Fatal(err)
		}
		err = j.Append(book, "\n", first, &Done{File: book}, nil)
		j.Close()
		want := old + second
		if err == nil {
			want += first
		} else if !errors.Is(err, errDisk) {
			t.Fatal(err)
		}
		if got := get(t, dir, book); got != want {
			t.Fatalf("room for %d bytes, error %v: got %q, want %q", n, err, got, want)
		}
		// Once there is room again all goes on.
		add(t, dir, "\n", first)
		if got := get(t, dir, book); got != want+first {
			t.Fatalf("room for %d bytes, then enough: got %q", n, got)
		}
		if err == nil {
			break
		}
	}
}

// The same for a file that is written anew.
func TestReplace(t *testing.T) {
	for step := -1; ; step++ {
		dir := farm(t, header+first)
		type crash struct{}
		steps := 0
		j, err := open(context.Background(), dir, faults{at: func(string) {
			if steps == step {
				panic(crash{})
			}
			steps++
		}})
		if err != nil {
			t.Fatal(err)
		}
		crashed := func() (crashed bool) {
			defer func() { crashed = recover() != nil }()
			if err := j.Replace(book, []byte(header+second), nil); err != nil {
				t.Fatal(err)
			}
			return false
		}()
		j.Close()
		got := get(t, dir, book)
		if got != header+second && (!crashed || got != header+first) {
			t.Fatalf("crash at step %d: %q", step, got)
		}
		add(t, dir, "\n", first)
		if now := get(t, dir, book); now != got+first {
			t.Fatalf("crash at step %d: %q", step, now)
		}
		left, err := filepath.Glob(filepath.Join(dir, Dir, "*"+asideMark))
		if err != nil || len(left) > 0 {
			t.Fatalf("crash at step %d leaves %v (%v)", step, left, err)
		}
		if step >= 0 && !crashed {
			break
		}
	}
}

func TestReplaceMakesFileAndFolder(t *testing.T) {
	dir := t.TempDir()
	j, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := j.Replace(book, []byte(header), nil); err != nil {
		t.Fatal(err)
	}
	if got := get(t, dir, book); got != header {
		t.Error(got)
	}
}

// A link stays a link, and the file's permissions stay.
func TestReplaceKeepsLinkAndMode(t *testing.T) {
	dir := farm(t, header)
	other := filepath.Join(t.TempDir(), "shared.csv")
	path := filepath.Join(dir, book)
	if err := errors.Join(os.Rename(path, other), os.Chmod(other, 0o660), os.Symlink(other, path)); err != nil {
		t.Fatal(err)
	}
	j, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	if err := j.Replace(book, []byte(header+first), nil); err != nil {
		t.Fatal(err)
	}
	link, err := os.Lstat(path)
	if err != nil || link.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("no link any more: %v %v", link, err)
	}
	info, err := os.Stat(other)
	if err != nil || info.Mode().Perm() != 0o660 || info.Size() != int64(len(header+first)) {
		t.Errorf("got %v %v", info, err)
	}
}

// Whoever may write in the folder may write the journal's own files and the new
// books, whatever the mask of the one who made them.
func TestFilesAreSharedAsTheFolderIs(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("uses the modes of Unix")
	}
	for _, mode := range []fs.FileMode{0o775 | fs.ModeSetgid, 0o777, 0o755, 0o700} {
		dir := t.TempDir()
		if err := os.Chmod(dir, mode); err != nil {
			t.Fatal(err)
		}
		j, err := Open(context.Background(), dir)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(j.Replace(book, []byte(header), nil), j.Append(book, "\n", first, nil, nil), j.Close()); err != nil {
			t.Fatal(err)
		}
		for name, want := range map[string]fs.FileMode{Dir: mode, Dir + "/" + lockFile: mode & 0o666, Dir + "/" + stateFile: mode & 0o666, book: mode & 0o666} {
			info, err := os.Stat(filepath.Join(dir, name))
			if err != nil || info.Mode()&(fs.ModePerm|fs.ModeSetgid) != want {
				t.Errorf("folder %v: %s is %v (%v)", mode, name, info.Mode(), err)
			}
		}
	}
}

func TestDoneIsBounded(t *testing.T) {
	var s state
	for i := range 100 {
		s.push(Done{What: fmt.Sprint(i), Rows: []string{"x"}})
	}
	if len(s.Done) != mostDone || s.Done[0].What != "99" || s.Done[mostDone-1].What != "70" {
		t.Errorf("%d remembered, first %q", len(s.Done), s.Done[0].What)
	}
	big := strings.Repeat("x", mostDoneBytes)
	s.push(Done{What: "big", Rows: []string{big}})
	s.push(Done{What: "bigger", Rows: []string{big, big}})
	s.push(Done{What: "small"})
	if len(s.Done) != 1 || s.Done[0].What != "small" {
		t.Errorf("%d remembered", len(s.Done))
	}
}

func TestBusy(t *testing.T) {
	dir := farm(t, header)
	j, err := Open(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer j.Close()
	ctx, cancel := context.WithTimeout(context.Background(), 20*time.Millisecond)
	defer cancel()
	if _, err := Open(ctx, dir); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("got %v", err)
	}
}

// Any state text, whole or not, and any book: reading does not panic and takes
// nothing away but from the offset of an intent that is whole.
func FuzzSettled(f *testing.F) {
	s := state{Intent: &intent{File: book, Offset: int64(len(header)), Text: []byte(second)}}
	f.Add(s.encode(), []byte(header+second[:9]))
	f.Add([]byte("{}"), []byte(header))
	f.Fuzz(func(t *testing.T, stateText, bookText []byte) {
		fsys := fstest.MapFS{book: {Data: bookText}, Dir + "/" + stateFile: {Data: stateText}}
		got, err := fs.ReadFile(Settled(fsys), book)
		if err != nil {
			t.Fatal(err)
		}
		in := decodeState(stateText).Intent
		switch {
		case len(got) == len(bookText):
		case in == nil || int64(len(got)) != in.Offset || !in.torn(bookText[in.Offset:]):
			t.Errorf("%d of %d bytes", len(got), len(bookText))
		}
	})
}

// The real thing, where a test may mount a tiny disk.
func TestTinyDisk(t *testing.T) {
	dir := t.TempDir()
	mountTiny(t, dir)
	put(t, dir, book, header)
	row := "2025-06-02,Heron,0.15," + strings.Repeat("x", 1000) + "\n"
	confirmed := 0
	var err error
	for err == nil {
		var j *Journal
		if j, err = Open(context.Background(), dir); err != nil {
			break
		}
		if err = j.Append(book, "\n", row, &Done{File: book}, nil); err == nil {
			confirmed++
		}
		j.Close()
	}
	if !errors.Is(err, syscall.ENOSPC) || confirmed == 0 {
		t.Fatalf("%d rows, then %v", confirmed, err)
	}
	if got, want := get(t, dir, book), header+strings.Repeat(row, confirmed); got != want {
		t.Errorf("%d bytes in the book, want %d", len(got), len(want))
	}
}

// A folder that cannot be written to: an error, nothing changed, and it can be read.
func TestReadOnlyDisk(t *testing.T) {
	dir := t.TempDir()
	mountTiny(t, dir)
	put(t, dir, book, header)
	add(t, dir, "\n", first)
	remountReadOnly(t, dir)
	j, err := Open(context.Background(), dir) // the lock file is there already
	if err == nil {
		err = j.Append(book, "\n", second, &Done{File: book}, nil)
		j.Close()
	}
	if !errors.Is(err, syscall.EROFS) {
		t.Errorf("got %v", err)
	}
	if text, err := fs.ReadFile(Settled(os.DirFS(dir)), book); err != nil || string(text) != header+first {
		t.Errorf("got %q, %v", text, err)
	}
}

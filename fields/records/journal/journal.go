// Package journal adds to the files of a farm folder so that nothing that was
// confirmed is ever lost, whatever happens to the program or the machine.
//
// One writer at a time holds the lock file. To add lines to a file it
//
//  1. writes into the state file what is about to be added, where, and to which
//     file, with a checksum, and forces that to the disk (the intent);
//  2. writes the lines at the end of the file and forces them to the disk;
//  3. takes the intent out of the state file and forces that to the disk.
//
// Only then is the addition confirmed, so that no intent ever stands over lines
// that were. A crash before 1 is complete leaves an intent whose checksum is
// wrong: nothing was begun. A crash in 2 leaves an intent and, after its offset,
// a part of the lines: these were never confirmed and the next writer moves them
// into a file of their own, while readers (see [Settled]) do not see them. So
// several lines added at once are all there or none. A crash after 2 leaves an
// intent and all of the lines, but for the end of the last at most: they stand.
// What follows the offset but is no part of the lines was put there by somebody
// else since and is left alone; so is a last line without a line end that no
// intent knows of, such as an editor leaves: the next addition ends it first.
//
// A new file, and one that has to be written anew, is written aside, forced to
// the disk and put in place by renaming.
//
// Files stay plain text. The lock holds between processes of one machine and,
// as far as it locks files, on a shared folder.
package journal

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/gofrs/flock"
)

// The journal's own files, in the folder of the records.
const (
	Dir       = "records"
	lockFile  = ".lock"
	stateFile = ".state"
	tornFile  = ".torn" // what crashes left incomplete, one after the other
	asideMark = ".new"  // ends the name of a file written aside
)

// Patience is how long Open waits for another writer.
const Patience = 30 * time.Second

// retry is how often the lock is tried meanwhile.
const retry = time.Millisecond

// ErrBusy is wrapped by the error of Open when another writer does not finish.
var ErrBusy = errors.New("another program is writing there")

// Journal is a farm folder held for writing. The zero Journal is not usable.
type Journal struct {
	dir    string
	lock   *flock.Flock
	state  state
	mended []string
	faults faults
}

// faults are where tests stop the program or break the disk; the zero value
// does neither.
type faults struct {
	at    func(step string)
	write func(f *os.File, text []byte, offset int64) (int, error)
}

func (j *Journal) reached(step string) {
	if j.faults.at != nil {
		j.faults.at(step)
	}
}

// Open waits for the lock of a farm folder and mends what a crash left. The
// folder of the records is made if need be.
func Open(ctx context.Context, dir string) (*Journal, error) { return open(ctx, dir, faults{}) }

func open(ctx context.Context, dir string, f faults) (*Journal, error) {
	j := &Journal{dir: dir, faults: f}
	folder := filepath.Join(dir, Dir)
	if _, err := os.Stat(folder); errors.Is(err, fs.ErrNotExist) {
		switch err := os.Mkdir(folder, 0o777); {
		case err == nil:
			share(folder, 0o777|fs.ModeSetgid)
		case !errors.Is(err, fs.ErrExist):
			return nil, err
		}
		if err := syncDir(dir); err != nil {
			return nil, err
		}
	}
	lock := filepath.Join(folder, lockFile)
	_, missing := os.Stat(lock)
	j.lock = flock.New(lock, flock.SetPermissions(0o666))
	wait, cancel := context.WithTimeout(ctx, Patience)
	defer cancel()
	locked, err := j.lock.TryLockContext(wait, retry)
	switch {
	case err != nil && ctx.Err() == nil && wait.Err() != nil:
		return nil, fmt.Errorf("%s: %w, and has been for %s", folder, ErrBusy, Patience)
	case err != nil:
		return nil, err
	case !locked:
		return nil, fmt.Errorf("%s: %w", folder, ErrBusy)
	}
	if missing != nil {
		share(lock, 0o666)
	}
	if err := j.mend(); err != nil {
		j.Close()
		return nil, err
	}
	return j, nil
}

// share lets those use a new file who may use the folder it is in: whoever may
// write there is to be able to record, whatever this user's mask says. Where the
// system will not have it the file stays as it was made.
func share(path string, mode fs.FileMode) {
	if info, err := os.Stat(filepath.Dir(path)); err == nil {
		_ = os.Chmod(path, info.Mode()&mode|0o600)
	}
}

// Close lets the next writer in.
func (j *Journal) Close() error { return j.lock.Close() }

// Mended tells what was moved aside because a crash had left it incomplete, one
// sentence for each.
func (j *Journal) Mended() []string { return j.mended }

// path is where a file of the farm folder is, links followed: a file put in
// place by renaming must not take the place of a link to it.
func (j *Journal) path(name string) string {
	p := filepath.Join(j.dir, filepath.FromSlash(name))
	if real, err := filepath.EvalSymlinks(p); err == nil {
		return real
	}
	return p
}

// mend settles the last intent and takes away what was being written aside.
func (j *Journal) mend() error {
	j.state = readState(filepath.Join(j.dir, Dir, stateFile))
	in := j.state.Intent
	if in == nil {
		return nil
	}
	path := j.path(in.File)
	// Left behind when the machine stopped before it was put in place.
	if err := os.Remove(path + asideMark); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	defer f.Close()
	tail, err := readTail(f, in)
	if err != nil {
		return err
	}
	if in.torn(tail) {
		if err := j.keep(in.File, tail); err != nil {
			return err
		}
		if err := f.Truncate(in.Offset); err != nil {
			return err
		}
		if err := f.Sync(); err != nil {
			return err
		}
		j.mended = append(j.mended, fmt.Sprintf("%s: what was being written when the program or the machine stopped was incomplete and had not been confirmed; it was moved to %s: %q",
			in.File, Dir+"/"+tornFile, strings.ToValidUTF8(strings.Trim(string(tail), "\x00"), "")))
	}
	j.settle()
	return nil
}

// keep writes what is about to be cut off to the end of a file of its own, with
// a line that says where it stood: a person may still want to look at it.
func (j *Journal) keep(name string, tail []byte) error {
	path := filepath.Join(j.dir, Dir, tornFile)
	_, missing := os.Stat(path)
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o666)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	text := fmt.Sprintf("# %s, %d bytes:\n%s\n", name, len(tail), tail)
	if err := j.write(f, []byte(text), info.Size()); err != nil {
		return errors.Join(err, f.Truncate(info.Size()))
	}
	if err := f.Sync(); err != nil {
		return err
	}
	if missing != nil {
		share(path, 0o666)
		return syncDir(filepath.Dir(path))
	}
	return nil
}

// readTail reads what follows the offset of an intent, one byte more than the
// intent has at the most.
func readTail(r io.ReaderAt, in *intent) ([]byte, error) {
	return io.ReadAll(io.NewSectionReader(r, in.Offset, int64(len(in.Text))+1))
}

// Append adds text, whole lines, to the end of a file that exists, and returns
// when it is on the disk. lineEnd ends a last line that has no end yet. With an
// error nothing was added. done is what to remember of it, or nil; see [Journal.Done].
// mark is where the file may be read from next time, or nil; see [ReadPart].
func (j *Journal) Append(name, lineEnd, text string, done *Done, mark *Mark) error {
	f, err := os.OpenFile(j.path(name), os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return err
	}
	if mark != nil && mark.of != stampOf(info) {
		mark = nil // somebody has just changed the table
	}
	size := info.Size()
	if size > 0 {
		last := make([]byte, 1)
		if _, err := f.ReadAt(last, size-1); err != nil {
			return err
		}
		switch {
		case last[0] == lineEnd[len(lineEnd)-1]:
		case last[0] == '\r' && lineEnd == "\r\n": // a crash came between the two
			text = "\n" + text
		default:
			text = lineEnd + text
		}
	}
	before := j.state
	if done != nil {
		j.state.push(*done)
	}
	j.state.Intent = &intent{File: name, Offset: size, Text: []byte(text)}
	j.reached("begun")
	if err := j.save(true); err != nil {
		j.state = before
		_ = j.save(false) // the intent is not whole, or names a file that was not touched: either way it does no harm
		return err
	}
	j.reached("intended")
	err = j.write(f, []byte(text), size)
	if err == nil {
		j.reached("written")
		err = f.Sync()
	}
	if err != nil {
		if undo := errors.Join(f.Truncate(size), f.Sync()); undo != nil {
			// The intent stays: the next writer moves away what is incomplete.
			return errors.Join(err, undo)
		}
		j.state = before
		_ = j.save(false)
		return err
	}
	j.reached("on disk")
	j.state.mark(name, mark, f, size+int64(len(text)))
	j.settle()
	return nil
}

func (j *Journal) write(f *os.File, text []byte, offset int64) error {
	if j.faults.write != nil {
		_, err := j.faults.write(f, text, offset)
		return err
	}
	_, err := f.WriteAt(text, offset)
	return err
}

// settle takes the intent out after all is on the disk. It is forced to the disk:
// an intent that outlived its addition would take a last row that a person
// shortened later for one that a crash tore. It cannot fail the addition, whose
// lines are all there.
func (j *Journal) settle() {
	j.state.Intent = nil
	_ = j.save(true)
	j.reached("settled")
}

// Replace writes a file anew, or a new one, and returns when it is on the disk.
// With an error the file is as it was. done as for Append.
func (j *Journal) Replace(name string, text []byte, done *Done) error {
	path := j.path(name)
	mode := fs.FileMode(0) // as the folder has it
	if info, err := os.Stat(path); err == nil {
		mode = info.Mode().Perm()
	}
	before := j.state
	if done != nil {
		j.state.push(*done)
	}
	// The intent of no text at the end of time cuts nothing; it only names the
	// file that may be left aside.
	j.state.Intent = &intent{File: name, Offset: 1<<62 - 1}
	j.state.mark(name, nil, nil, 0)
	if err := j.save(true); err != nil {
		j.state = before
		_ = j.save(false)
		return err
	}
	j.reached("intended")
	err := j.aside(path, text, mode)
	if err == nil {
		j.reached("aside")
		if err = os.Rename(path+asideMark, path); err == nil {
			j.reached("renamed")
			err = syncDir(filepath.Dir(path))
		}
	}
	if err != nil {
		_ = os.Remove(path + asideMark)
		j.state = before
		_ = j.save(false)
		return err
	}
	j.settle()
	return nil
}

func (j *Journal) aside(path string, text []byte, mode fs.FileMode) error {
	f, err := os.OpenFile(path+asideMark, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	if mode == 0 {
		share(path+asideMark, 0o666)
	} else {
		_ = f.Chmod(mode) // the mask has a say in a new file's mode
	}
	if err := j.write(f, text, 0); err != nil {
		f.Close()
		return err
	}
	if err := f.Sync(); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

// syncDir forces the names in a folder to the disk.
func syncDir(dir string) error {
	if runtime.GOOS == "windows" { // renaming is on the disk by itself there, and folders cannot be synced
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Recording on a disk that is full, and on one that cannot be written to.

package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"sandwick/cmd/sandwick/internal/starter"
)

func TestRecordOnBadDisk(t *testing.T) {
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=256k"); err != nil {
		t.Skipf("no disk may be mounted here: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	farm := filepath.Join(disk, "farm")
	if _, err := starter.Write(farm); err != nil {
		t.Fatal(err)
	}
	run := func(want int, said string, more ...string) {
		t.Helper()
		var out, said2 bytes.Buffer
		status := testProgram(time.Date(2025, 6, 13, 17, 0, 0, 0, time.UTC)).run(context.Background(),
			append([]string{"record", "rain", "North", "mint", "0.4in", "--farm", farm}, more...), strings.NewReader(""), &out, &said2)
		got := strings.ReplaceAll(said2.String(), disk, "DISK")
		if status != want || got != said || want != 0 && out.Len() > 0 {
			t.Errorf("status %d, %q, said\n%s, want\n%s", status, out.String(), got, said)
		}
	}
	book := func() string {
		t.Helper()
		text, err := os.ReadFile(filepath.Join(farm, "records", "rain.csv"))
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	run(0, "")
	before := book()

	filler := filepath.Join(disk, "filler")
	f, err := os.Create(filler)
	if err != nil {
		t.Fatal(err)
	}
	for err == nil {
		_, err = f.Write(make([]byte, 1024))
	}
	f.Close()
	// A page that is begun has room for a while, but not for this.
	run(exitNo, "sandwick: error: nothing was recorded: write DISK/farm/records/.state: no space left on device\n"+
		"sandwick: hint: the disk is full: make room and record it again\n", "--note", strings.Repeat("x", 2*os.Getpagesize()))
	if now := book(); now != before {
		t.Errorf("the book was changed: %d bytes, had %d", len(now), len(before))
	}
	if err := os.Remove(filler); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("no disk may be mounted read-only here: %v", err)
	}
	run(exitNo, "sandwick: error: nothing was recorded: open DISK/farm/records/rain.csv: read-only file system\n"+
		"sandwick: hint: may you write in this folder? its files are as they were\n")
	if now := book(); now != before {
		t.Errorf("the book was changed: %d bytes, had %d", len(now), len(before))
	}
}

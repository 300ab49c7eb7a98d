// A disk of a few pages for the test of a full one.

package journal

import (
	"syscall"
	"testing"
)

func mountTiny(t *testing.T, dir string) {
	t.Helper()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("no disk may be mounted here: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
}

func remountReadOnly(t *testing.T, dir string) {
	t.Helper()
	if err := syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("no disk may be mounted read-only here: %v", err)
	}
}

// Package sandbox takes from the calling process what decoding a stranger's file does
// not need: files, the network, other programs, other processes. What is taken
// stays taken. Where a kernel lacks a means, the process goes on without it and is
// told so: limits on memory and time hold in any case.
package sandbox

import (
	"errors"
	"fmt"
	"os"
	"strings"

	seccomp "github.com/elastic/go-seccomp-bpf"
	"github.com/landlock-lsm/go-landlock/landlock"
	"golang.org/x/sys/unix"
)

// libraries may be read: what a decoder loads when it is first needed, and what
// the C library looks up.
var libraries = []string{"/lib", "/lib64", "/usr/lib", "/usr/local/lib", "/etc", "/proc/self", "/sys/devices/system/cpu"}

// Enter encloses the process. It may read libraries and write nothing, but for
// files that it has open. lacking says what this kernel cannot do; it is empty
// where all is done.
func Enter() (lacking string) {
	return join(restrict(libraries, nil), forbid())
}

// EnterFor encloses a program that a person started on their own files: it may
// read all and write into the folders of the files named.
func EnterFor(folders []string) (lacking string) {
	return join(restrict([]string{"/"}, append(folders, "/dev/pts")), forbid())
}

func join(errs ...error) string {
	var out []string
	for _, err := range errs {
		if err != nil {
			out = append(out, err.Error())
		}
	}
	return strings.Join(out, "; ")
}

// restrict leaves files to read and folders to write, no connections, and no
// signals to others.
func restrict(read, write []string) error {
	rules := []landlock.Rule{landlock.RODirs(there(read)...), landlock.RWDirs(there(write)...), landlock.RWFiles("/dev/null", "/dev/tty", "/dev/full").IgnoreIfMissing()}
	if err := landlock.V4.Restrict(rules...); err != nil { // files and TCP
		if worse := landlock.V4.BestEffort().Restrict(rules...); worse != nil {
			return fmt.Errorf("landlock: %w", worse)
		}
		return fmt.Errorf("landlock, in full: %w", err)
	}
	return landlock.V8.BestEffort().RestrictScoped()
}

// there are the folders that exist.
func there(folders []string) (out []string) {
	for _, f := range folders {
		if info, err := os.Stat(f); err == nil && info.IsDir() {
			out = append(out, f)
		}
	}
	return out
}

// forbidden are system calls that no decoder makes; they fail with EPERM.
var forbidden = []string{
	"execve", "execveat", "socket", "socketpair", "connect", "bind", "listen", "accept", "accept4", // other programs, the network
	"ptrace", "process_vm_readv", "process_vm_writev", "pidfd_open", "pidfd_getfd", "kcmp", // other processes
	"mount", "umount2", "pivot_root", "chroot", "unshare", "setns", "bpf", "perf_event_open", "userfaultfd", // the kernel
	"keyctl", "add_key", "request_key", "init_module", "finit_module", "delete_module", "kexec_load",
	"io_uring_setup", "io_uring_enter", "io_uring_register", "personality", "reboot", "swapon", "swapoff", "acct", "quotactl",
}

func forbid() error {
	if !seccomp.Supported() {
		return errors.New("seccomp: this kernel has none")
	}
	err := seccomp.LoadFilter(seccomp.Filter{NoNewPrivs: true, Flag: seccomp.FilterFlagTSync, Policy: seccomp.Policy{
		DefaultAction: seccomp.ActionAllow,
		Syscalls:      []seccomp.SyscallGroup{{Action: seccomp.ActionErrno | seccomp.Action(unix.EPERM), Names: forbidden}},
	}})
	if err != nil {
		return fmt.Errorf("seccomp: %w", err)
	}
	return nil
}

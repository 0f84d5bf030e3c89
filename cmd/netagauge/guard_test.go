package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"netagauge/internal/command"
	"netagauge/internal/core/fatal"
	"netagauge/testdata/photos"
)

// Whatever verb looks at photos does it in a process that is enclosed and limited,
// and goes on, with a sentence, when a photo brings that process down each time.
func TestEveryVerbOutlivesItsDecoder(t *testing.T) {
	program, dir := programFile(t), t.TempDir()
	data, err := photos.Files.ReadFile("tray-a4.jpg")
	fatal.If(t, err)
	folder := filepath.Join(dir, "monday")
	fatal.If(t, os.Mkdir(folder, 0o700))
	first, again := filepath.Join(folder, "first.jpg"), filepath.Join(dir, "again.jpg")
	for i, path := range []string{first, again} {
		fatal.If(t, os.WriteFile(path, append(marked(data, i), make([]byte, large)...), 0o600))
	}
	for name, args := range map[string][]string{
		"class":  {"class", folder, "--no-record"},
		"line":   {"line", first, "--line", "lunch", "--no-record"},
		"plan":   {"plan", "--photo", first, "--heights", "20"},
		"mat":    {"mat", "--verify", first},
		"repeat": {"repeat", first, again, "--no-record"},
	} {
		var said bytes.Buffer
		cmd := exec.Command(program, args...)
		cmd.Env = append(os.Environ(), "XDG_CONFIG_HOME="+dir)
		cmd.Stdout, cmd.Stderr = &said, &said
		fatal.If(t, cmd.Start())
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		killed := map[int]bool{}
		var exit *exec.ExitError
		for late, over := time.After(2*time.Minute), false; !over; {
			select {
			case err := <-ended:
				if over = true; !errors.As(err, &exit) || exit.ExitCode() < command.ExitUsage {
					t.Errorf("%s ended with %v", name, err)
				}
			case <-late:
				over = true
				cmd.Process.Kill()
				t.Errorf("%s hangs", name)
			case <-time.After(time.Millisecond):
				for _, pid := range children(cmd.Process.Pid) {
					if !killed[pid] && enclosed(pid) && hasRead(pid, large) {
						limited(t, name, pid)
						syscall.Kill(pid, syscall.SIGKILL)
						killed[pid] = true
					}
				}
			}
		}
		if len(killed) < 2 {
			t.Errorf("%s had %d processes that are enclosed", name, len(killed))
		}
		if !strings.Contains(said.String(), "stopped over it, twice") {
			t.Errorf("%s said:\n%s", name, &said)
		}
	}
}

// large is more than a process reads before a photo.
const large = 4 << 20

func hasRead(pid int, size int64) bool {
	io, _ := os.ReadFile(fmt.Sprintf("/proc/%d/io", pid))
	var n int64
	fmt.Sscanf(string(io), "rchar: %d", &n)
	return n > size
}

func children(pid int) (out []int) {
	lists, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid))
	for _, path := range lists {
		text, _ := os.ReadFile(path)
		for f := range strings.FieldsSeq(string(text)) {
			n, _ := strconv.Atoi(f)
			out = append(out, n)
		}
	}
	return out
}

// enclosed reports whether a process has a filter on its system calls.
func enclosed(pid int) bool {
	status, _ := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	return strings.Contains(string(status), "Seccomp:\t2")
}

// limited holds a process to limits on its memory and on what it may write.
func limited(t *testing.T, name string, pid int) {
	limits, _ := os.ReadFile(fmt.Sprintf("/proc/%d/limits", pid))
	for what, most := range map[string]string{"Max data size": "1610612736", "Max file size": "0"} {
		_, after, _ := strings.Cut(string(limits), what)
		if f := strings.Fields(after); len(f) == 0 || f[0] != most {
			t.Errorf("%s: %s is %.2q, want %s", name, what, f, most)
		}
	}
}

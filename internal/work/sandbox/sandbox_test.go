package sandbox

import (
	"errors"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"golang.org/x/sys/unix"

	"netagauge/internal/core/fatal"
)

const insideEnv, folderEnv = "NETAGAUGE_TEST_FENCE", "NETAGAUGE_TEST_FOLDER"

// TestMain makes this binary the enclosed process, too.
func TestMain(m *testing.M) {
	sort, folder := os.Getenv(insideEnv), os.Getenv(folderEnv)
	if sort == "" {
		os.Exit(m.Run())
	}
	lacking := ""
	if sort == "worker" {
		lacking = Enter()
	} else {
		lacking = EnterFor([]string{folder})
	}
	fmt.Println("lacking:", lacking)
	var all sync.WaitGroup // on other threads, too
	for range 4 {
		all.Go(func() { tryAll(folder) })
	}
	all.Wait()
}

func tryAll(folder string) {
	says := func(what string, err error) { fmt.Println(what+":", err == nil) }
	_, err := os.ReadFile(filepath.Join(folder, "secret"))
	says("read", err)
	says("write", os.WriteFile(filepath.Join(folder, "out"), nil, 0o600))
	says("write elsewhere", os.WriteFile(filepath.Join(filepath.Dir(folder), "elsewhere"), nil, 0o600))
	_, err = net.Dial("tcp", "127.0.0.1:9")
	says("network", map[bool]error{true: err}[errors.Is(err, os.ErrPermission)])
	says("program", exec.Command("/bin/true").Run())
	_, err = unix.PtraceGetEventMsg(os.Getppid())
	says("trace", map[bool]error{true: err}[errors.Is(err, unix.EPERM)])
	_, err = os.ReadDir("/usr/lib")
	says("libraries", err)
}

func TestFence(t *testing.T) {
	for sort, want := range map[string]map[string]bool{
		"worker": {"read": false, "write": false, "write elsewhere": false, "network": false, "program": false, "trace": false, "libraries": true},
		"person": {"read": true, "write": true, "write elsewhere": false, "network": false, "program": false, "trace": false, "libraries": true},
	} {
		folder := filepath.Join(t.TempDir(), "inner")
		fatal.If(t, os.Mkdir(folder, 0o700))
		fatal.If(t, os.WriteFile(filepath.Join(folder, "secret"), []byte("x"), 0o600))
		cmd := exec.Command("/proc/self/exe")
		cmd.Env = append(os.Environ(), insideEnv+"="+sort, folderEnv+"="+folder)
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%s: %v\n%s", sort, err, out)
		}
		lacking, _, _ := strings.Cut(string(out), "\n")
		t.Log(sort, lacking)
		for what, may := range want {
			if strings.Contains(lacking, "landlock") && (what == "read" || what == "write" || what == "write elsewhere") {
				continue // this kernel cannot
			}
			if strings.Contains(lacking, "seccomp") {
				continue
			}
			if n := strings.Count(string(out), fmt.Sprintf("%s: %v\n", what, may)); n != 4 {
				t.Errorf("%s, %s: %d of 4 said %v\n%s", sort, what, n, may, out)
			}
		}
	}
}

package serve

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"

	"netagauge/internal/core/phrase"
)

// Limits of a photo that is measured by itself: our setting, several times what
// the largest sample takes.
const (
	aloneTime   = 60 * time.Second
	aloneMemory = 2 << 30 // bytes of data
)

// outcome is what netagauge left and said.
type outcome struct {
	out, errs string
	picture   []byte // it drew; nil for none
	ok        bool   // it ended with exit code 0
}

// runAlone gives a photo to netagauge in a process of its own, so that a photo
// that crashes a decoder ends that process and nothing else. arguments gets the
// paths of the photo and of the picture to draw.
func (s *Server) runAlone(ctx context.Context, photo io.Reader, env []string, arguments func(photo, picture string) []string) (outcome, error) {
	dir, err := os.MkdirTemp("", "netagauge-")
	if err != nil {
		return outcome{}, err
	}
	defer os.RemoveAll(dir)
	// One at a time: its time begins once the photo is whole.
	in, picture := filepath.Join(dir, "photo"), filepath.Join(dir, "picture.jpg")
	if err := keepPhoto(in, photo); err != nil {
		return outcome{}, &phrase.Error{Says: phrase.Of("cut-short"), Cause: err}
	}
	select {
	case s.alone <- struct{}{}:
	case <-ctx.Done():
		return outcome{}, ctx.Err()
	}
	defer func() { <-s.alone }()
	ctx, cancel := context.WithTimeout(ctx, aloneTime)
	defer cancel()
	var out, errs bytes.Buffer
	cmd := exec.CommandContext(ctx, s.Program, arguments(in, picture)...)
	cmd.Env, cmd.Stdout, cmd.Stderr = append(os.Environ(), env...), &out, &errs
	if err := cmd.Start(); err != nil {
		return outcome{}, err
	}
	limit := unix.Rlimit{Cur: aloneMemory, Max: aloneMemory}
	if err := unix.Prlimit(cmd.Process.Pid, unix.RLIMIT_DATA, &limit, nil); err != nil {
		s.Log.Printf("bound the memory of a photo measured by itself: %v", err)
	}
	err = cmd.Wait()
	res := outcome{out: out.String(), errs: errs.String(), ok: err == nil}
	if drawn, err := os.ReadFile(picture); err == nil {
		res.picture = drawn
	}
	if err != nil && res.errs == "" {
		res.errs = fmt.Sprintf("it stopped over the photo: %v", err)
	}
	return res, nil
}

func keepPhoto(path string, r io.Reader) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if _, err := io.Copy(f, r); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}

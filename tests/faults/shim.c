/* Stands between a program and the system: the n-th call that changes a file below one folder fails. Not here: what the
 * program should make of it. Loaded before the C library; told by variables of the environment:
 *
 *   FALLOW_SHIM_DIR    the folder
 *   FALLOW_SHIM_AT     which call fails, from 1 on
 *   FALLOW_SHIM_ERRNO  with which number
 *   FALLOW_SHIM_STAYS  1: every later one that asks for room fails too, as on a disk that stays full
 *   FALLOW_SHIM_LOG    a file elsewhere that gets a line for every call that fails, and how many there were
 *
 * It counts from the opening of shim.arm to that of shim.disarm, so that what leads up to an act is let be.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/types.h>
#include <unistd.h>

static int armed;
static long calls;

static long number(const char *name) {
  const char *text = getenv(name);
  return text ? atol(text) : 0;
}

static void note(const char *line) {
  const char *log = getenv("FALLOW_SHIM_LOG");
  if (!log) return;
  int fd = (int)syscall(SYS_openat, AT_FDCWD, log, O_WRONLY | O_CREAT | O_APPEND, 0600);
  if (fd < 0) return;
  syscall(SYS_write, fd, line, strlen(line));
  syscall(SYS_close, fd);
}

/* Whether this call fails; errno is set then. */
static int fails(const char *call, const char *path, int wants_room) {
  const char *dir = getenv("FALLOW_SHIM_DIR");
  if (!armed || !dir || !path || strncmp(path, dir, strlen(dir)) != 0) return 0;
  calls++;
  long at = number("FALLOW_SHIM_AT");
  int later = calls > at && wants_room && number("FALLOW_SHIM_STAYS") == 1;
  if (calls != at && !later) return 0;
  char line[600];
  const char *name = strrchr(path, '/');
  snprintf(line, sizeof line, "failed %s %.500s\n", call, name ? name + 1 : path);
  note(line);
  errno = (int)number("FALLOW_SHIM_ERRNO");
  return 1;
}

static int fails_fd(const char *call, int fd, int wants_room) {
  char link[64], path[4096];
  if (!armed) return 0;
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t length = readlink(link, path, sizeof path - 1);
  if (length < 0) return 0;
  path[length] = 0;
  return fails(call, path, wants_room);
}

static int ends_in(const char *path, const char *name) {
  size_t a = strlen(path), b = strlen(name);
  return a >= b && strcmp(path + a - b, name) == 0;
}

static int opening(const char *path, int flags) {
  if (ends_in(path, "/shim.arm")) {
    calls = 0;
    armed = 1;
    return 0;
  }
  if (ends_in(path, "/shim.disarm")) {
    char line[64];
    armed = 0;
    snprintf(line, sizeof line, "calls %ld\n", calls);
    note(line);
    return 0;
  }
  if ((flags & O_CREAT) == 0 || access(path, F_OK) == 0)
    /* Opening what is there takes no room, but a bad disk refuses it all the same. */
    return number("FALLOW_SHIM_ERRNO") == EIO && fails("open", path, 0);
  return fails("create", path, 1);
}

#define NEXT(name) ((__typeof__(&name))dlsym(RTLD_NEXT, #name))

#define OPEN(name)                                     \
  int name(const char *path, int flags, ...) {         \
    mode_t mode = 0;                                   \
    if (flags & (O_CREAT | O_TMPFILE)) {               \
      va_list more;                                    \
      va_start(more, flags);                           \
      mode = (mode_t)va_arg(more, int);                \
      va_end(more);                                    \
    }                                                  \
    if (opening(path, flags)) return -1;               \
    return NEXT(name)(path, flags, mode);              \
  }
OPEN(open)
OPEN(open64)

ssize_t write(int fd, const void *bytes, size_t size) {
  return fails_fd("write", fd, 1) ? -1 : NEXT(write)(fd, bytes, size);
}
ssize_t pwrite(int fd, const void *bytes, size_t size, off_t at) {
  return fails_fd("write", fd, 1) ? -1 : NEXT(pwrite)(fd, bytes, size, at);
}
ssize_t pwrite64(int fd, const void *bytes, size_t size, off64_t at) {
  return fails_fd("write", fd, 1) ? -1 : NEXT(pwrite64)(fd, bytes, size, at);
}
ssize_t copy_file_range(int from, off64_t *from_at, int to, off64_t *to_at, size_t size, unsigned flags) {
  return fails_fd("write", to, 1) ? -1 : NEXT(copy_file_range)(from, from_at, to, to_at, size, flags);
}
int fsync(int fd) { return fails_fd("fsync", fd, 0) ? -1 : NEXT(fsync)(fd); }
int fdatasync(int fd) { return fails_fd("fsync", fd, 0) ? -1 : NEXT(fdatasync)(fd); }
int ftruncate(int fd, off_t size) { return fails_fd("truncate", fd, 0) ? -1 : NEXT(ftruncate)(fd, size); }
int ftruncate64(int fd, off64_t size) { return fails_fd("truncate", fd, 0) ? -1 : NEXT(ftruncate64)(fd, size); }
int rename(const char *from, const char *to) { return fails("rename", to, 0) ? -1 : NEXT(rename)(from, to); }
int unlink(const char *path) { return fails("unlink", path, 0) ? -1 : NEXT(unlink)(path); }
int mkdir(const char *path, mode_t mode) { return fails("mkdir", path, 1) ? -1 : NEXT(mkdir)(path, mode); }
int link(const char *from, const char *to) { return fails("link", to, 1) ? -1 : NEXT(link)(from, to); }
int linkat(int a, const char *from, int b, const char *to, int flags) {
  return fails("link", to, 1) ? -1 : NEXT(linkat)(a, from, b, to, flags);
}

/* A disk that stands still: put before a program with LD_PRELOAD, it holds up whatever the program asks
 * of files below $STALL_FOLDER for as long as the file $STALL_SWITCH is there. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static void wait_for(const char *path)
{
    const char *folder = getenv("STALL_FOLDER"), *held = getenv("STALL_SWITCH");
    const struct timespec moment = {0, 5000000};

    if (!folder || !held || strncmp(path, folder, strlen(folder)) != 0)
        return;
    /* Asked of the kernel itself, since the functions below stand in for the library's. */
    while (syscall(SYS_faccessat, AT_FDCWD, held, F_OK, 0) == 0)
        nanosleep(&moment, NULL);
}

static void wait_for_open(int file)
{
    char link[64], path[4096];

    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t length = readlink(link, path, sizeof path - 1);
    if (length > 0) {
        path[length] = '\0';
        wait_for(path);
    }
}

int open64(const char *path, int flags, ...)
{
    va_list more;
    va_start(more, flags);
    int mode = flags & (O_CREAT | O_TMPFILE) ? va_arg(more, int) : 0;
    va_end(more);
    wait_for(path);
    return ((int (*)(const char *, int, ...))dlsym(RTLD_NEXT, "open64"))(path, flags, mode);
}

int statx(int at, const char *path, int flags, unsigned mask, struct statx *found)
{
    wait_for(path);
    return ((int (*)(int, const char *, int, unsigned, struct statx *))dlsym(RTLD_NEXT, "statx"))(
        at, path, flags, mask, found);
}

int fsync(int file)
{
    wait_for_open(file);
    return ((int (*)(int))dlsym(RTLD_NEXT, "fsync"))(file);
}

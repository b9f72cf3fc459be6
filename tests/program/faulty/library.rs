// A library that is loaded before all others (LD_PRELOAD): at the nth call that changes something on a disk it says that the
// disk is full, or ends the program as the system would. It says how many such calls there were, if it is asked.

use std::ffi::{c_char, c_int, c_longlong, c_uint, c_void};
use std::sync::atomic::{AtomicI64, Ordering};

extern "C" {
    fn dlsym(library: *mut c_void, name: *const c_char) -> *mut c_void;
    fn getenv(name: *const c_char) -> *const c_char;
    fn atoll(text: *const c_char) -> c_longlong;
    fn __errno_location() -> *mut c_int;
    fn getpid() -> c_int;
    fn kill(process: c_int, signal: c_int) -> c_int;
}

const NEXT: *mut c_void = -1_isize as *mut c_void;
const FULL: c_int = 28;
const KILL: c_int = 9;
const CREATES: c_int = 0o100;

static CALLS: AtomicI64 = AtomicI64::new(0);

unsafe fn fails() -> bool {
    let at = |name: &[u8]| {
        let text = getenv(name.as_ptr().cast());
        if text.is_null() { -1 } else { atoll(text) }
    };
    let call = CALLS.fetch_add(1, Ordering::SeqCst) + 1;
    if call == at(b"KILLED_AT\0") {
        kill(getpid(), KILL);
    }
    let is_full = call == at(b"FULL_AT\0");
    if is_full {
        *__errno_location() = FULL;
    }
    is_full
}

macro_rules! call {
    ($name:ident($($given:ident: $kind:ty),*) -> $out:ty, $counts:expr) => {
        #[no_mangle]
        pub unsafe extern "C" fn $name($($given: $kind),*) -> $out {
            if $counts && fails() {
                return -1;
            }
            let real = dlsym(NEXT, concat!(stringify!($name), "\0").as_ptr().cast());
            let real: unsafe extern "C" fn($($kind),*) -> $out = std::mem::transmute(real);
            real($($given),*)
        }
    };
}

call!(open64(path: *const c_char, flags: c_int, mode: c_uint) -> c_int, flags & CREATES != 0);
call!(write(file: c_int, bytes: *const c_void, count: usize) -> isize, file > 2);
call!(copy_file_range(from: c_int, at: *mut i64, to: c_int, also: *mut i64, count: usize, flags: c_uint) -> isize, true);
call!(rename(from: *const c_char, to: *const c_char) -> c_int, true);
call!(mkdir(path: *const c_char, mode: c_uint) -> c_int, true);
call!(unlink(path: *const c_char) -> c_int, true);
call!(unlinkat(folder: c_int, path: *const c_char, flags: c_int) -> c_int, true);
call!(rmdir(path: *const c_char) -> c_int, true);
call!(fsync(file: c_int) -> c_int, true);

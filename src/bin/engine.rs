//! The engine: the core as a page in a browser loads it, a WebAssembly module without imports.
//!
//! A request is put into a room and answered from there, both as UTF-8:
//!
//! 1. `room(length)` makes a room of that many bytes, and says where it is;
//! 2. the page writes the request into it;
//! 3. `answer()` answers it, and says where two 32-bit numbers stand: where the answer is, and how long.
//!
//! What is said of places holds until the next call; memory may have moved house by then. What one answer has learned, the next
//! one knows. Should a call trap, that memory is lost: the page throws the module away and starts a new one.

// An exported name could be that of something else, so the compiler calls exporting unsafe. Nothing else here is.
#![allow(unsafe_code)]
#![cfg_attr(target_arch = "wasm32", no_main)]

#[cfg(target_arch = "wasm32")]
mod page {
    use foldmark::live::Live;
    use std::cell::RefCell;
    use std::ptr;

    /// What stays between calls.
    struct Engine {
        live: Live,
        request: Vec<u8>,
        answer: String,
        place: Place,
    }

    /// Where an answer is, for the page to read.
    #[repr(C)]
    struct Place {
        start: *const u8,
        length: usize,
    }

    thread_local! {
        static ENGINE: RefCell<Engine> = RefCell::new(Engine {
            live: Live::new(),
            request: Vec::new(),
            answer: String::new(),
            place: Place { start: ptr::null(), length: 0 },
        });
    }

    /// Makes room for a request of so many bytes.
    // SAFETY: nothing else that is linked here has this name.
    #[unsafe(no_mangle)]
    extern "C" fn room(length: usize) -> *mut u8 {
        ENGINE.with_borrow_mut(|engine| {
            engine.request.clear();
            engine.request.resize(length, 0);
            engine.request.as_mut_ptr()
        })
    }

    /// Answers the request in that room.
    // SAFETY: nothing else that is linked here has this name.
    #[unsafe(no_mangle)]
    extern "C" fn answer() -> *const Place {
        ENGINE.with_borrow_mut(|engine| {
            engine.answer = engine.live.answer(&String::from_utf8_lossy(&engine.request));
            engine.place = Place { start: engine.answer.as_ptr(), length: engine.answer.len() };
            &raw const engine.place
        })
    }
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!("The engine runs in a page: .ci/engine builds it.");
}

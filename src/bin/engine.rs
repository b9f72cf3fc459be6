//! The engine: the core as a page in a browser loads it, a WebAssembly module without imports.
//!
//! There are two: that of the lessons, and with the feature `desk` that of the desk, to which whole files are given.
//!
//! A request is put into a room and answered from there, both as bytes:
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
    #[cfg(feature = "desk")]
    use foldmark::desk::Desk as Asked;
    #[cfg(not(feature = "desk"))]
    use foldmark::live::Live as Asked;
    use std::cell::RefCell;
    use std::ptr;

    /// What stays between calls.
    struct Engine {
        asked: Asked,
        request: Vec<u8>,
        answer: Vec<u8>,
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
            asked: Asked::new(),
            request: Vec::new(),
            answer: Vec::new(),
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

    #[cfg(feature = "desk")]
    fn answered(desk: &mut Asked, request: &[u8]) -> Vec<u8> {
        desk.answer(request)
    }

    #[cfg(not(feature = "desk"))]
    fn answered(live: &mut Asked, request: &[u8]) -> Vec<u8> {
        live.answer(&String::from_utf8_lossy(request)).into_bytes()
    }

    /// Answers the request in that room.
    // SAFETY: nothing else that is linked here has this name.
    #[unsafe(no_mangle)]
    extern "C" fn answer() -> *const Place {
        ENGINE.with_borrow_mut(|engine| {
            engine.answer = answered(&mut engine.asked, &engine.request);
            engine.place = Place { start: engine.answer.as_ptr(), length: engine.answer.len() };
            &raw const engine.place
        })
    }
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!("The engine runs in a page: .ci/engine builds it.");
}

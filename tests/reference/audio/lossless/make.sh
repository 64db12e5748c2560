#!/bin/sh
# Makes the files of this folder, with general-purpose tools: sox 14.4.2 and flac 1.4.2 (Debian 12). Tests read them and
# need no tool.
set -e
sox -R -n -r 8000 -c 1 -b 16 mono16.wav synth 0.6 sine 1275 synth 0.6 whitenoise mix gain -6 \
  fade 0.05 0.6 0.1 pad 0.05 0.1
sox -R -n -r 11025 -b 24 stereo24.wav synth 0.25 whitenoise synth 0.25 sine mix 300-3000 remix 1v0.9 1v0.85
sox -R -n -r 11025 -b 32 stereo32.wav synth 0.15 square 700 synth 0.15 brownnoise mix gain -n remix 1 1v-1
sox -R -n -r 16000 -c 6 -b 8 six8.wav synth 0.1 pinknoise sine 440 sine 550 trapezium 600 sine 700 whitenoise

flac -s -f -P 100 -0 mono16.wav -o mono16-0.flac
flac -s -f -P 100 -8 -e -p -T DATE=2031-04-05T06:07:08Z -T 'COMMENT=check file' mono16.wav -o mono16-8.flac
flac -s -f -P 100 -8 --lax -l 32 -b 777 stereo24.wav -o stereo24.flac
flac -s -f -P 100 -8 --lax stereo32.wav -o stereo32.flac
flac -s -f -P 100 -5 --channel-map=none six8.wav -o six8.flac
flac -s -f -0 --ogg --serial-number=1 -P 100 -T DATE=2031-04-05T06:07:08Z mono16.wav -o mono16.oga

# sndfile-convert of sndfile-programs 1.2.0.
sox mono16.wav mono16.aiff
sox stereo24.wav stereo24.aiff
sox six8.wav six8.aiff
sox stereo32.wav stereo32.aifc
sndfile-convert -float32 mono16.wav mono16-fl32.aifc
sndfile-convert -alaw mono16.wav mono16-alaw.aifc
sndfile-convert -ulaw mono16.wav mono16-ulaw.aifc
sndfile-convert -pcm16 -endian=little mono16.wav mono16-sowt.aifc
sndfile-convert -alaw mono16.wav mono16-alaw.wav
sndfile-convert -ulaw mono16.wav mono16-ulaw.wav
sndfile-convert -float32 mono16.wav mono16-fl32.wav
